import type { SlotLink } from '../../bench/lamp.ts';
import type { Moment, World } from '../world.ts';
import { fork } from '../worlds.ts';
import { afterLoss } from './take-slots.ts';

/** ANSI E1.11 lets frames be short, and does not say what a lamp does whose slots are cut, or do not come at all. */
const shortFrame =
  "a frame ended before or within the lamp's slots: it may take those that came, leave the frame, or not count it as a signal";

/** Without a signal for so long the light goes as after a loss: that of E1.31, the longer one. s */
const longestLoss = 2.5;

interface Cut {
  /** The worlds of a lamp that takes what came. */
  readonly taken: readonly World[];
  /** The worlds of one that does not count the frame. */
  readonly uncounted: readonly Uncounted[];
  readonly link: 'dmx' | 'sacn';
  readonly slots: SlotLink;
}

export interface Uncounted {
  readonly world: World;
  /** Another source has the light. */
  readonly ledByOther: boolean;
}

/** What a lamp does with slots that end within its own. It is a habit of each input, the same each time. */
export function cutShort(world: World, cut: Cut, moment: Moment): readonly World[] {
  const habit = world.shortFrames[cut.link];
  const taken = () => cut.taken.map((one) => used(one, cut, 'taken'));
  const left = () => [used(signalled(world, cut), cut, 'left')];
  const unheard = () =>
    cut.uncounted
      .flatMap((one) => unsignalled(one, cut, moment))
      .map((one) => used(one, cut, 'unheard'));
  if (habit === 'taken') return taken();
  if (habit === 'left') return left();
  if (habit === 'unheard') return unheard();
  return fork(shortFrame, ...taken(), ...left(), ...unheard());
}

function used(world: World, { link }: Cut, habit: 'taken' | 'left' | 'unheard'): World {
  return { ...world, shortFrames: { ...world.shortFrames, [link]: habit } };
}

function signalled(world: World, { link }: Cut): World {
  if (link === 'sacn') return world;
  return { ...world, slots: { ...world.slots, alive: true, lost: null } };
}

/** The signal may be lost already, or soon, but for that of a source that leads beside the frame's own. */
function unsignalled({ world, ledByOther }: Uncounted, { link, slots }: Cut, moment: Moment) {
  if (ledByOther) return [world];
  const silent =
    link === 'sacn'
      ? { ...world, sacn: { ...world.sacn, told: null } }
      : { ...world, slots: { ...world.slots, alive: false, lost: null } };
  const within = longestLoss + moment.allowances.lossDelay;
  const lost = afterLoss(silent, { link, slots, by: moment.of, within }, moment);
  // What was never there need not be lost.
  const never = link === 'sacn' ? world.sacn.followed === null : world.slots.values.length === 0;
  return never ? fork(shortFrame, silent, ...lost) : lost;
}
