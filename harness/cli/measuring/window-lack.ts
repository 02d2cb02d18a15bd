import type { Criterion } from '../../plan/plan.ts';
import { markWindow } from '../../plan/schedule.ts';
import { formatQuantity } from '../../units/format-quantity.ts';
import type { TimeLine } from './file-time-line.ts';

/** A record that falls short of a window by this part of it still covers it: clocks differ, and the last sample is one early. */
const roundness = 2e-3;

/** Why a criterion's windows cannot be looked at in the file; null where they can. */
export function windowLack(
  { during, reference }: Pick<Criterion, 'during' | 'reference'>,
  line: TimeLine,
): string | null {
  for (const name of reference === undefined ? [during] : [during, reference]) {
    const lack = lackOfWindow(name, line);
    if (lack !== null) return lack;
  }
  return null;
}

function lackOfWindow(name: string | undefined, { commanded, covered }: TimeLine): string | null {
  const window = markWindow(commanded, name);
  if (!window)
    return `it looks at the window "${name}": say where that lies in the file (--mark ${name}=INSTANT), or when the stimulus began (--begin)`;
  const slack = roundness * (window.to - window.from);
  if (window.from >= covered.from - slack && window.to <= covered.to + slack) return null;
  const seconds = (instant: number): string => formatQuantity(instant, 'time');
  const whole = name === undefined ? 'the whole stimulus' : `the window "${name}"`;
  return `it looks at ${whole}, from ${seconds(window.from)} to ${seconds(window.to)} after its beginning; the file covers ${seconds(covered.from)} to ${seconds(covered.to)}`;
}
