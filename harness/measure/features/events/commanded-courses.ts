import type { Observation, Window } from '../../observation.ts';
import { neighbours } from '../../signal/pairs.ts';
import { commandedLevel, turningPoints, weightedChannels } from '../../subject/commanded-light.ts';

/** A stretch in which the command lets the light only rise (1), only fall (-1) or stand still (0). */
export interface CommandedCourse extends Window {
  readonly direction: -1 | 0 | 1;
}

/** Levels nearer than this are one. */
const same = 1e-9;
/** A change took effect at most this many of its standard uncertainties before its instant. */
const earliest = 3;
/** Instants at which a stretch without a turning point is looked at. */
const looks = 32;

/**
 * The window cut where the command turns from up to down or back, `ahead` s before it; null where it goes both ways at once
 * (mixed light).
 */
export function commandedCourses(
  observation: Observation,
  ahead: number,
): readonly CommandedCourse[] | null {
  const { window, commanded } = observation;
  const early = ahead + earliest * (commanded.standardInstant ?? 0);
  const all: CommandedCourse[] = [];
  let [from, direction]: [number, -1 | 0 | 1] = [window.from, 0];
  for (const change of changesIn(observation)) {
    if (change.direction === null) return null;
    if (direction !== 0 && change.direction !== direction) {
      const to = Math.max(from, change.at - early);
      all.push({ from, to, direction });
      from = to;
    }
    direction = change.direction;
  }
  return [...all, { from, to: window.to, direction }];
}

interface Change {
  readonly at: number;
  /** Null: it goes both ways. */
  readonly direction: -1 | 1 | null;
}

/** Jumps and fades of the commanded level, in order. */
function changesIn(observation: Observation): readonly Change[] {
  const { window } = observation;
  if (weightedChannels(observation).length === 0) return [];
  const cuts = [window.from, ...turningPoints(observation, window), window.to];
  // A command on the window's first instant is still on its way there.
  let before = commandedLevel(observation, window.from - 1e-6);
  return neighbours(cuts).flatMap(([from, to]) => {
    const levels = Array.from({ length: looks }, (_, k) =>
      commandedLevel(observation, from + ((k + 0.001) / (looks - 0.998)) * (to - from)),
    );
    const own = [before, ...levels.slice(0, 1)];
    before = levels.at(-1) ?? before;
    return [...changeOf(from, own), ...changeOf(from, levels)];
  });
}

function changeOf(at: number, levels: readonly number[]): readonly Change[] {
  const steps = neighbours(levels).map(([one, two]) => two - one);
  const up = steps.some((step) => step > same);
  const down = steps.some((step) => step < -same);
  if (!up && !down) return [];
  return [{ at, direction: up && down ? null : up ? 1 : -1 }];
}

/** Stretches of the window in which light is commanded; the whole of it where nothing is known of the command. */
export function litStretches(observation: Observation): readonly Window[] {
  const { window } = observation;
  if (weightedChannels(observation).length === 0) return [window];
  const cuts = [window.from, ...turningPoints(observation, window), window.to];
  return neighbours(cuts)
    .filter(([from, to]) => commandedLevel(observation, (from + to) / 2) > 0)
    .map(([from, to]) => ({ from, to }));
}
