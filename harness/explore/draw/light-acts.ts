import fc, { type Arbitrary } from 'fast-check';
import type { Lamp } from '../../bench/lamp.ts';
import type { WrittenStep } from '../../plan/verbs/verb.ts';
import { fadeTimes, levels, mixes, oneOfSteps } from './values.ts';

/** Of the table of fade times, IEC 62386-102. */
const daliFadeTimes = fc.constantFrom('0 ms', '1 s', '2 s', '4 s');

/** Sets and fades over one link, as a desk or a building gives them. */
export function lightActs(link: string, lamp: Lamp): Arbitrary<WrittenStep> {
  const level = levels(lamp);
  // A mix over DALI goes as primaries of colour control gear, which not every lamp has.
  const withMix = link !== 'dali';
  const mix = fc.option(withMix ? mixes(lamp) : fc.constant(undefined), { nil: undefined });
  const target = fc.record({ level, mix }).map(written);
  const times = withMix ? fadeTimes : daliFadeTimes;
  const fade = fc
    .tuple(target, times, fc.boolean())
    .map(([to, over, wait]): WrittenStep => ({ fade: { ...to, over, wait, link } }));
  return oneOfSteps([
    [2, target.map((to): WrittenStep => ({ set: { ...to, link } }))],
    [3, fade],
  ]);
}

function written({
  level,
  mix,
}: {
  readonly level: string;
  readonly mix: string | Record<string, string> | undefined;
}): Record<string, unknown> {
  return mix === undefined ? { level } : { level, mix };
}
