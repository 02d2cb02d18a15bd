import type { Lamp } from '../bench/lamp.ts';
import { findMetric } from '../measure/metrics.ts';
import type { CommandedChannel, Window } from '../measure/observation.ts';
import type { Condition, Criterion, Plan } from '../plan/plan.ts';
import { plannedLight } from '../plan/planned-light.ts';
import { markWindow, schedule } from '../plan/schedule.ts';
import { unmetNeed } from '../plan/unmet-need.ts';
import { formatQuantity } from '../units/format-quantity.ts';
import { type Doubt, distinct } from './doubt.ts';

/**
 * Criteria that read one steady level, and whose window holds commands that change the light: a mark lasts to the next mark, and what a
 * healthy lamp does in between would count as flicker, noise or drift. No rig is needed to see that.
 */
export function checkSteadyWindows(plan: Plan, lamp: Lamp): readonly Doubt[] {
  if (unmetNeed(plan.needs, lamp) !== null) return [];
  return distinct(plan.conditions.flatMap((condition) => unsteady(condition, lamp)));
}

function unsteady({ stimulus, criteria }: Condition, lamp: Lamp): Doubt[] {
  const steady = criteria.filter(readsSteadyLight);
  if (steady.length === 0) return [];
  const laid = schedule(stimulus, lamp);
  const { channels } = plannedLight(laid, lamp).finish(laid.duration);
  return steady.flatMap(({ metric, of, during, line }): Doubt[] => {
    const window = markWindow(laid, during);
    const own = channels.filter(({ channel }) => channel === of);
    const changes = window ? changesIn(own.length > 0 ? own : channels, window) : [];
    const [first] = changes;
    if (first === undefined || !window) return [];
    const message = `${sentence(changes.length, during)}, first ${time(first - window.from)} after it begins; ${advice(during)}`;
    return [{ severity: 'warn', metric, line, message }];
  });
}

function sentence(count: number, during: string | undefined): string {
  const where = during === undefined ? 'in the whole condition' : `in "${during}"`;
  const times = count === 1 ? 'once' : `${count} times`;
  return `reads one steady level, but the light is commanded to change ${times} ${where}`;
}

function advice(during: string | undefined): string {
  return during === undefined
    ? 'put a mark before the steady light and name it with "during"'
    : 'a mark lasts to the next mark, so add one where the steady light ends';
}

/** Beside flicker: what else takes every change of the light for the lamp's own. */
const steadyMetrics = new Set([
  'level-noise',
  'level-drift',
  'dropouts',
  'dither-rate',
  'dither-visibility',
  'ripple-current',
]);

function readsSteadyLight({ metric }: Criterion): boolean {
  return findMetric(metric)?.family === 'flicker' || steadyMetrics.has(metric);
}

const instant = 1e-9;

/**
 * When the commanded light begins to change within a window, s, each instant once. What begins with the window's own mark does not count:
 * light that is watched while it fades is written so.
 */
function changesIn(channels: readonly CommandedChannel[], { from, to }: Window): number[] {
  const found = channels.flatMap(({ segments }) =>
    segments.flatMap((segment, k) => {
      const isInside = segment.from > from + instant && segment.from < to - instant;
      const before = segments[k - 1];
      const isJump = before !== undefined && before.endLevel !== segment.startLevel;
      return isInside && (isJump || segment.startLevel !== segment.endLevel) ? [segment.from] : [];
    }),
  );
  return [...new Set(found)].sort((a, b) => a - b);
}

function time(value: number): string {
  return formatQuantity(value, 'time');
}
