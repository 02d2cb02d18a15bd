import { shortId } from '../../record/ids.ts';
import type { SpecRecord } from '../../record/run-record.ts';
import type { Traced, TracedClaim } from '../../record/traced.ts';
import { placeText } from './finding-words.ts';
import { leftWords } from './margin-words.ts';
import { counted } from './prose.ts';
import { valueText } from './value-text.ts';
import { verdictMark } from './verdict-words.ts';
import { claimReason, findingsWorstFirst, margin } from './worst-first.ts';

/** The margin of the finding that is nearest to its limit, or farthest beyond it, as a share of the tolerance; null where there is none. */
export function nearestMargin(spec: SpecRecord): number | null {
  const [nearest] = findingsWorstFirst(spec);
  const share = nearest ? margin(nearest.finding) : Number.NaN;
  return Number.isFinite(share) ? share : null;
}

/** `62 % left`, `90 % beyond`; nothing where that cannot be told in parts. */
export function nearestText(spec: SpecRecord): string {
  const [nearest] = findingsWorstFirst(spec);
  if (!nearest) return '';
  const { outcome, limits } = nearest.finding;
  return leftWords({ ...limits, value: outcome.measured ? outcome.value : null });
}

/** Which finding that is, with its value; the reason of a claim without one. */
export function nearestWords(spec: SpecRecord): string {
  const [nearest] = findingsWorstFirst(spec);
  if (!nearest) return claimReason(spec) ?? '';
  const { title } = nearest.finding;
  return `${title} of ${placeText(nearest)}: ${valueText(nearest.finding)}`;
}

/** `3fa9c01b, 2026-03-01`, and what makes it less than the newest word on the claim as it is now. */
export function runText({ result }: TracedClaim): string {
  if (result === null) return '';
  const { run, isOlder, isChanged } = result;
  const notes = [isOlder && 'older run', isChanged && 'spec changed since'].filter(Boolean);
  const named = `${shortId(run.id)}, ${run.started.slice(0, 10)}`;
  return notes.length > 0 ? `${named} (${notes.join(', ')})` : named;
}

/** Something that is missing between requirements, claims and runs. */
interface Gap {
  readonly text: string;
  /** Of claims, where it is the same for many. */
  readonly names: readonly string[];
}

/** What is missing; empty where nothing is. `listed` is what lists the requirements. */
export function gapsOf({ uncovered, unclaimed, neverRan, unknown }: Traced, listed: string): Gap[] {
  const told = neverRan.filter(({ result, elsewhere }) => result || elsewhere);
  const untold = neverRan.filter((claim) => !told.includes(claim)).map(({ spec }) => spec);
  const free = unclaimed.map(({ spec }) => spec);
  return [
    ...uncovered.map(({ id, text }) => single(`no claim covers ${id}${text ? `: ${text}` : ''}`)),
    ...(free.length > 0
      ? [{ text: `no requirement for ${counted(free.length, 'claim')}`, names: free }]
      : []),
    ...unknown.map(({ spec, id }) => single(`${spec} traces ${id}, which ${listed} does not list`)),
    ...told.map((claim) => single(neverRanText(claim))),
    ...(untold.length > 0
      ? [{ text: `${counted(untold.length, 'claim')} never ran`, names: untold }]
      : []),
  ];
}

function single(text: string): Gap {
  return { text, names: [] };
}

function neverRanText({ spec, result, elsewhere }: TracedClaim): string {
  const reason = result?.spec.reason;
  if (elsewhere) {
    const { build, started, verdict } = elsewhere;
    return `${spec} never ran on this build; older: ${verdictMark[verdict]} ${verdict} on build ${build}, ${started.slice(0, 10)}`;
  }
  return reason ? `${spec} was not run: ${reason}` : `${spec} was not run`;
}

/** `3 of 4 requirements are covered` */
export function coveredText({ requirements, uncovered }: Traced): string {
  return `${requirements.length - uncovered.length} of ${counted(requirements.length, 'requirement')} ${requirements.length === 1 ? 'is' : 'are'} covered`;
}
