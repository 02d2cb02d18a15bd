import type { LampLink } from '../../bench/ports.ts';
import { callOn, type StimulusContext } from '../condition/stimulus.ts';
import { switchOf } from './lamp-power.ts';
import { SwitchWatch } from './switch-watch.ts';

/** The watch over the switch of a rig; null where it has none, and where time is virtual. */
export function switchWatchOf({
  bench,
  rig,
  signal,
}: Pick<StimulusContext, 'bench' | 'rig' | 'signal'>): SwitchWatch | null {
  const relay = switchOf(bench, rig);
  if (!relay || !rig.switch || bench.clock.kind === 'virtual') return null;
  const links = [...bench.instruments.values()].filter(
    (one): one is LampLink => one.kind === 'lamp-link',
  );
  const { livesOn } = rig.switch;
  const call = callOn({ rig, signal }, relay.name);
  return new SwitchWatch({ relay, clock: bench.clock, call, links, livesOn });
}
