import type { Lamp } from '../../bench/lamp.ts';
import type { Rig } from '../../bench/rig.ts';
import type { WrittenStep } from '../../plan/verbs/verb.ts';
import { linkOf } from '../link-of.ts';
import type { KeptFrame } from '../spec-text.ts';
import { knownSettings } from './known-settings.ts';

/** Light that everything else is related to, where a photodiode alone sees the lamp. */
const fullMark = 'compared';

/** Messages that follow each other without a pause take longer on a bench than planned, each by this at most, s; the record lasts as long. */
const slowest = 0.1;

/**
 * What goes round a sequence on a bench: DALI gear is given known settings before and after, and where the currents of the channels are not
 * wired, the light is first seen at a level that is known.
 */
export function benchFrame(
  steps: readonly WrittenStep[],
  { lamp, rig, brightest }: { readonly lamp: Lamp; readonly rig: Rig; readonly brightest: number },
): KeptFrame {
  const settings = linkOf(steps) === 'dali' ? knownSettings : [];
  const after = [{ hold: `${Math.ceil(1000 * slowest * steps.length)} ms` }, ...settings];
  if (seesCurrents(lamp, rig)) return { before: settings, after, seen: 'channel-current' };
  const compared: readonly WrittenStep[] = [
    { set: { level: `${100 * brightest} %`, mix: 'all' } },
    { hold: '500 ms' },
    { mark: fullMark },
    { hold: '500 ms' },
    { mark: 'drawn' },
  ];
  return {
    before: [...settings, ...compared],
    after,
    seen: { fullAt: fullMark },
  };
}

function seesCurrents({ channels }: Lamp, { wiring }: Rig): boolean {
  return channels.every(({ channel }) =>
    wiring.some(
      ({ signal, of }) => signal === 'channel-current' && (of === channel || of === 'each'),
    ),
  );
}
