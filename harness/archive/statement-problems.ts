import { isDeepStrictEqual } from 'node:util';
import { benchBrokenText } from '../record/bench-after.ts';
import { leftAwayText } from '../record/kept-captures.ts';
import { reusedText } from '../record/reused.ts';
import type { RunRecord } from '../record/run-record.ts';
import { clocksApart } from './clocks-apart.ts';
import { manifestFile } from './manifest.ts';
import {
  buildReleaseStatement,
  buildTestResultStatement,
  openClaims,
  type ReleaseStatement,
  type Subject,
} from './statement.ts';

/** What a sign-off is held against: the run as it lies there, and who really signed. */
export interface SignedRun {
  readonly record: RunRecord;
  /** SHA-256 of the manifest as it is now. */
  readonly manifest: string;
  /** `keyId`s of the trusted keys that signed this envelope. */
  readonly signers: readonly string[];
  /** ms since 1970. */
  readonly now: number;
}

/**
 * What a release statement says that is not so, in sentences. A signature proves who said something and never that it is true:
 * all that it says of the run is worked out again from the run.
 */
export function releaseProblems(statement: ReleaseStatement, signed: SignedRun): string[] {
  const { predicate, subject } = statement;
  const { record, signers } = signed;
  if (predicate.run.id !== record.id)
    return [`signs another run (${predicate.run.id}), not run.json of this one`];
  const { name, key } = predicate.signer;
  const expected = buildReleaseStatement(record, subject, { ...predicate, name, key });
  return [
    ...(signers.includes(key)
      ? []
      : [`names the key ${key.slice(0, 12)}…, but was signed with ${short(signers)}`]),
    ...subjectProblems(subject, signed),
    ...differences(predicate, expected.predicate),
    ...timeProblems(predicate.signedAt, signed),
    ...waiverProblems(predicate, record),
    ...(predicate.decision === 'release' ? unreleasable(record) : []),
  ];
}

/** Why a run cannot be released, whoever signs. */
export function unreleasable(
  record: Pick<RunRecord, 'faults' | 'specs' | 'rig' | 'shards'>,
): string[] {
  const left = leftAwayText(record);
  const lacking =
    left === null
      ? []
      : [`releases a run that was stored without ${left}: nobody can judge it again`];
  const reused = reusedText(record);
  const taken = reused === null ? [] : [`releases a run of which ${reused}`];
  const broken = benchBrokenText(record);
  const unproved = broken === null ? [] : [`releases a run that nothing proves: ${broken}`];
  return [...seededProblems(record), ...unproved, ...lacking, ...taken];
}

/** A run with a deliberate defect in the lamp proves that the claims notice it, and nothing about a lamp that is sold. */
function seededProblems({ faults }: Pick<RunRecord, 'faults'>): string[] {
  if (faults.length === 0) return [];
  const seeded = faults.map(({ fault, size }) => `${fault} (size ${size})`).join(', ');
  return [`releases a run with a seeded fault: ${seeded}; such a run says nothing about the lamp`];
}

/** What a test-result statement says that is not so. */
export function testResultProblems(
  statement: { readonly subject: readonly Subject[] },
  signed: Pick<SignedRun, 'record' | 'manifest'>,
): string[] {
  const wrong = subjectProblems(statement.subject, signed);
  if (wrong.length > 0) return wrong;
  const expected = buildTestResultStatement(signed.record, statement.subject);
  return isDeepStrictEqual(statement, JSON.parse(JSON.stringify(expected)))
    ? []
    : ['does not say what run.json says of its claims'];
}

function short(keys: readonly string[]): string {
  return keys.map((key) => `${key.slice(0, 12)}…`).join(', ');
}

/** Every sign-off binds the manifest as it is, and the firmware that the record names. */
function subjectProblems(
  subject: readonly Subject[],
  { record, manifest }: Pick<SignedRun, 'record' | 'manifest'>,
): string[] {
  const own = subject.filter(({ name }) => name === manifestFile);
  const problems: string[] = [];
  if (own.length === 0) problems.push(`binds no ${manifestFile}: it says nothing about this run`);
  else if (own.some(({ digest }) => digest.sha256 !== manifest))
    problems.push(`binds another ${manifestFile}: the run was changed after it was signed`);
  const { digest } = record.lamp.firmware;
  const firmware = subject.filter(({ name }) => name.startsWith('firmware: '));
  if (firmware.some((one) => one.digest.sha256 !== digest))
    problems.push('binds another firmware than run.json');
  return problems;
}

/** The parts of the statement that differ from what the record says. */
function differences(
  said: ReleaseStatement['predicate'],
  is: ReleaseStatement['predicate'],
): string[] {
  const parts = [
    'run',
    'lamp',
    'rig',
    'faults',
    'verdict',
    'claims',
    'decisionRule',
    'scope',
  ] as const;
  return parts
    .filter((part) => !isDeepStrictEqual(said[part], JSON.parse(JSON.stringify(is[part]))))
    .map((part) => `says of ${part} ${text(said[part])}, but run.json says ${text(is[part])}`);
}

function text(value: unknown): string {
  return typeof value === 'string' ? value : JSON.stringify(value);
}

/** ISO 8601 in UTC, as every time here is written. */
const instant = /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?Z$/;

function timeProblems(signedAt: string, { record, now }: SignedRun): string[] {
  const at = instant.test(signedAt) ? Date.parse(signedAt) : Number.NaN;
  if (Number.isNaN(at)) return [`was signed at "${signedAt}", which is no time`];
  if (at < Date.parse(record.startedAt))
    return [`was signed at ${signedAt}, before the run began at ${record.startedAt}`];
  if (at > now + clocksApart) return [`was signed at ${signedAt}, which is in the future`];
  return [];
}

function waiverProblems(
  { decision, waivers }: ReleaseStatement['predicate'],
  record: RunRecord,
): string[] {
  const verdicts = new Map(record.specs.map(({ spec, verdict }) => [spec, verdict]));
  const problems = waivers.flatMap(({ claim, verdict }) => {
    const is = verdicts.get(claim);
    if (is === undefined) return [`waives ${claim}, which is no claim of this run`];
    return is === verdict ? [] : [`waives ${claim} as ${verdict}, but run.json says ${is}`];
  });
  const open = decision === 'release' ? openClaims(record, waivers) : [];
  const list = open.map(({ spec, verdict }) => `${spec} (${verdict})`).join(', ');
  if (open.length > 0) problems.push(`releases without a waiver: ${list}`);
  return problems;
}
