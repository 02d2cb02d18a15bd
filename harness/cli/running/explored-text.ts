import type { Deviation } from '../../explore/deviation.ts';
import { inOneLine } from '../../explore/spec-text.ts';
import { counted } from '../../report/words/prose.ts';
import { formatQuantity } from '../../units/format-quantity.ts';
import type {
  ExploreResult,
  TimedClaim,
  TimedDeviation,
} from '../../workflow/exploring/explore.ts';
import type { RigExploreResult } from '../../workflow/exploring/explore-on-rig.ts';

/** A deviation as it is told when it is found: what happened, and the fewest steps that lead to it. */
export function renderDeviation(found: TimedDeviation): string {
  const { kind, deviation, steps, after, ofReference } = found;
  const doubt = ofReference ? `  ${sharedDoubt}\n` : '';
  const list = steps.map((step) => `    - ${inOneLine(step)}\n`).join('');
  return `${kind} (found after ${after.toFixed(1)} s)\n  ${inWords(deviation)}\n${doubt}  ${counted(steps.length, 'step')}:\n${list}`;
}

const sharedDoubt =
  'The reference firmware does so too: the model may be wrong here instead of your firmware. Read the clause that docs/model.md names.';

/** A claim that failed between two sequences. */
export function renderClaim({ spec, condition, reason, after }: TimedClaim): string {
  const where = condition === '' ? '' : ` (${condition})`;
  return `claim ${spec}${where} (found after ${after.toFixed(1)} s)\n  ${reason}\n`;
}

/** What was found in one sentence. */
function inWords(deviation: Deviation): string {
  if (deviation.kind === 'breakdown' || deviation.kind === 'finding') return deviation.reason;
  if (deviation.kind === 'answer') {
    const { found, allowed, at } = deviation.answer;
    return `At ${seconds(at)} the lamp answered ${found}; the model allows ${allowed}.`;
  }
  const { channel, from, to, worstAt, found, low, high } = deviation.excursion;
  const allowed = `${level(low)} to ${level(high)}`;
  return `Channel ${channel} is at ${level(found)} at ${seconds(worstAt)}, where the model allows ${allowed}; it lies outside from ${seconds(from)} to ${seconds(to)}.`;
}

/** What never came to the bench, and what the bench got wrong. */
export function renderBenchWork({
  leftOut,
  endings,
  benchErrors,
  cutShort,
}: RigExploreResult): string {
  const reasons = [...leftOut].map(([why, times]) => `${why} (${times})`).join(', ');
  const verdicts = [...endings].map(([ending, times]) => `  ${times} × ${ending}\n`).join('');
  const left = reasons === '' ? '' : `Not carried out on the bench: ${reasons}.\n`;
  const errors = benchErrors === 0 ? '' : `${counted(benchErrors, 'bench error')}.\n`;
  const ended = cutShort === null ? '' : `Ended before its time: ${cutShort}.\n`;
  return `Verdicts on the bench:\n${verdicts}${left}${errors}${ended}`;
}

export function renderExplored(result: ExploreResult, files: readonly string[]): string {
  const { sequences, seconds: time, found, claims, kinds, corpus } = result;
  const rate = time > 0 ? Math.round(sequences / time) : 0;
  const counts = found
    .map(
      ({ kind, ofReference }, index) =>
        `  ${files[index]}: ${kind}, met ${counted(kinds.get(kind) ?? 1, 'time')}${ofReference ? '; the reference firmware does so too' : ''}\n`,
    )
    .join('');
  const head =
    found.length + claims.length === 0
      ? 'The lamp did what its model says in every sequence, and kept every claim that was tried.'
      : `The lamp did otherwise than its model says: ${counted(found.length, 'kind')} of deviation, ${counted(claims.length, 'claim')} that it does not keep.`;
  return `${head}\n${counts}${counted(sequences, 'sequence')} in ${Math.round(time)} s (${rate} a second), ${counted(corpus.length, 'sequence')} kept.\n`;
}

function level(relative: number): string {
  return `${Number((100 * relative).toPrecision(3))} %`;
}

function seconds(value: number): string {
  return formatQuantity(value, 'time');
}
