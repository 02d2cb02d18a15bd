import type { Condition } from '../plan/plan.ts';
import { markWindow, schedule } from '../plan/schedule.ts';
import { stimulusTotals } from '../plan/stimulus-totals.ts';
import type { ValueReader } from '../plan/value-reader.ts';
import { heldBy } from '../plan/verbs/verbs.ts';

/** Steps that one condition may come to when every repeat is written out. */
const mostSteps = 200_000;

/** A window of no length holds nothing to measure, and a stimulus of a million steps would never end. */
export function checkTimes(condition: Condition, reader: ValueReader): void {
  const problem = stimulusProblem(condition, reader);
  if (problem) reader.at('stimulus').report(problem, null, 'key');
  else checkWindows(condition, reader);
}

function stimulusProblem({ stimulus, captures }: Condition, { lamp }: ValueReader): string | null {
  const { steps, seconds } = stimulusTotals(stimulus, lamp);
  if (steps > mostSteps)
    return `expected at most ${mostSteps} steps with all repeats, found ${steps}`;
  return captures.length > 0 && seconds === 0
    ? 'no time passes, so nothing can be captured; add a hold'
    : null;
}

function checkWindows({ stimulus, captures, criteria }: Condition, reader: ValueReader): void {
  const plan = schedule(stimulus, reader.lamp);
  const names = plan.marks.map(({ name }) => name);
  const double = names.find((name, index) => names.indexOf(name) < index);
  const repeated = stimulus.some((step) => heldBy(step) !== null);
  if (double !== undefined && !repeated)
    reader
      .at('stimulus')
      .report(`the mark "${double}" is set twice; give each its own name`, null, 'key');
  const check = (name: string | undefined, place: ValueReader): void => {
    const window = name === undefined ? null : markWindow(plan, name);
    if (window && window.to <= window.from)
      place.report(`no time passes between the mark "${name}" and the next; add a hold or a fade`);
  };
  for (const [index, { during }] of captures.entries())
    check(during, reader.at('capture', index, 'during'));
  for (const [index, { during, reference }] of criteria.entries()) {
    check(during, reader.at('criteria', index, 'during'));
    check(reference, reader.at('criteria', index, 'reference'));
  }
}
