import * as z from 'zod';
import type { RunRecord, SpecRecord } from '../record/run-record.ts';
import { type Ending, standsOpen } from '../verdict/verdict.ts';

/** In-toto Statement v1 (confirmed in the public specification). */
const statementType = 'https://in-toto.io/Statement/v1';
const testResultType = 'https://in-toto.io/attestation/test-result/v0.1';
/** Our own predicate. The name resolves to nothing on purpose: it is a name, not a place. */
const releaseType = 'https://evenfall.invalid/attestation/release/v1';

const sha256 = z.string().regex(/^[0-9a-f]{64}$/);
const subjectSchema = z.strictObject({
  name: z.string(),
  digest: z.strictObject({ sha256 }),
});
export type Subject = z.infer<typeof subjectSchema>;

export const decisions = ['release', 'hold', 'reject'] as const;
export type Decision = (typeof decisions)[number];

const verdicts = ['pass', 'fail', 'inconclusive', 'error', 'not run'] as const;
const waiverSchema = z.strictObject({
  claim: z.string(),
  verdict: z.enum(verdicts),
  reason: z.string(),
});
export type Waiver = z.infer<typeof waiverSchema>;

const releasePredicate = z.strictObject({
  run: z.strictObject({ id: z.string(), startedAt: z.string(), endedAt: z.string().nullable() }),
  lamp: z.strictObject({
    name: z.string(),
    maker: z.string(),
    build: z.string(),
    serial: z.string(),
  }),
  rig: z.strictObject({ name: z.string(), simulated: z.boolean() }),
  /** Seeded faults of the run; statements of earlier versions do not speak of them. */
  faults: z.array(z.strictObject({ fault: z.string(), size: z.number() })).default([]),
  verdict: z.enum(verdicts),
  claims: z.record(z.string(), z.number()),
  decisionRule: z.strictObject({
    rule: z.string(),
    coverageFactor: z.number(),
    /** How often what was inconclusive might be measured again. */
    again: z.number().int().optional(),
  }),
  signer: z.strictObject({ name: z.string(), key: z.string() }),
  signedAt: z.string(),
  meaning: z.string(),
  decision: z.enum(decisions),
  waivers: z.array(waiverSchema),
  /** Under which policy it was decided, with the SHA-256 of its file; null: under none. */
  policy: z
    .strictObject({ name: z.string(), version: z.number().int(), digest: sha256 })
    .nullable()
    .default(null),
  scope: z.string(),
});
export type ReleasePredicate = z.infer<typeof releasePredicate>;

const releaseStatement = z.strictObject({
  _type: z.literal(statementType),
  subject: z.array(subjectSchema).min(1),
  predicateType: z.literal(releaseType),
  predicate: releasePredicate,
});
export type ReleaseStatement = z.infer<typeof releaseStatement>;

/** What a signer says of a run. */
export interface Declaration {
  readonly name: string;
  /** `keyId` of the signer's key. */
  readonly key: string;
  /** ISO 8601 UTC. */
  readonly signedAt: string;
  readonly meaning: string;
  readonly decision: Decision;
  readonly waivers: readonly Waiver[];
  readonly policy: ReleasePredicate['policy'];
}

const scope =
  'Pre-compliance figures: they certify nothing and hold only for the lamp and build that were measured.';

/** The release statement about a run; `subjects` are the files it binds, the manifest among them. */
export function buildReleaseStatement(
  record: RunRecord,
  subjects: readonly Subject[],
  { name, key, signedAt, meaning, decision, waivers, policy }: Declaration,
): ReleaseStatement {
  const { lamp, rig, faults } = record;
  return {
    _type: statementType,
    subject: [...subjects],
    predicateType: releaseType,
    predicate: {
      run: { id: record.id, startedAt: record.startedAt, endedAt: record.endedAt },
      lamp: { name: lamp.name, maker: lamp.maker, build: lamp.build, serial: lamp.serial },
      rig: { name: rig.name, simulated: rig.simulated },
      faults: faults.map(({ fault, size }) => ({ fault, size })),
      verdict: record.verdict,
      claims: record.totals.claims,
      decisionRule: record.decision,
      signer: { name, key },
      signedAt,
      meaning,
      decision,
      waivers: [...waivers],
      policy,
      scope,
    },
  };
}

/** Claims that did not pass, although the lamp can have them, and that nobody waives: none may be left for a release. */
export function openClaims(
  { specs }: Pick<RunRecord, 'specs'>,
  waivers: readonly { readonly claim: string }[],
): SpecRecord[] {
  const waived = new Set(waivers.map(({ claim }) => claim));
  return specs.filter((claim) => standsOpen(claim) && !waived.has(claim.spec));
}

const results: Readonly<Record<Ending, 'PASSED' | 'WARNED' | 'FAILED'>> = {
  pass: 'PASSED',
  inconclusive: 'WARNED',
  'not run': 'WARNED',
  fail: 'FAILED',
  error: 'FAILED',
};

/** The same run as a test-result statement (v0.1, confirmed), for tools that know nothing of lamps. */
export function buildTestResultStatement(record: RunRecord, subjects: readonly Subject[]): object {
  const named = (result: string): string[] =>
    record.specs
      .filter(({ verdict }) => verdict !== 'not applicable' && results[verdict] === result)
      .map(({ spec }) => spec);
  const files = [record.lamp, record.rig, ...record.specs];
  return {
    _type: statementType,
    subject: subjects,
    predicateType: testResultType,
    predicate: {
      result: results[record.verdict],
      configuration: files.map(({ file, digest }) => ({ name: file, digest: { sha256: digest } })),
      passedTests: named('PASSED'),
      warnedTests: named('WARNED'),
      failedTests: named('FAILED'),
    },
  };
}

/** The release statement in a verified payload, or null where it is none. */
export function parseReleaseStatement(payload: Uint8Array): ReleaseStatement | null {
  const found = releaseStatement.safeParse(parse(payload));
  return found.success ? found.data : null;
}

const testResultStatement = z.looseObject({
  _type: z.literal(statementType),
  subject: z.array(subjectSchema).min(1),
  predicateType: z.literal(testResultType),
});
type TestResultStatement = z.infer<typeof testResultStatement>;

/** The test-result statement in a verified payload, or null where it is none. */
export function parseTestResultStatement(payload: Uint8Array): TestResultStatement | null {
  const found = testResultStatement.safeParse(parse(payload));
  return found.success ? found.data : null;
}

function parse(payload: Uint8Array): unknown {
  try {
    return JSON.parse(Buffer.from(payload).toString('utf8'));
  } catch {
    return null;
  }
}
