import { describe, expect, test } from 'vitest';
import { loadFirmware } from '../../drivers/plant/firmware/load-firmware.ts';
import { openFirmware } from '../../drivers/plant/firmware/open-firmware.ts';
import type { Lamp } from '../../harness/bench/lamp.ts';
import { buildAlcove, buildAlcoveMainLoop } from './build-firmware.ts';
import { claim, judge, lamp } from './judge.ts';

/** One condition of each claim: the one that shows most for its time. */
const claims = {
  'fading/fade-follows-curve': 0,
  'fading/no-visible-step': 0,
  'fading/crossfade-arrives-together': 0,
  'fading/fades-on-time': 0,
  'dimming/reaches-bottom': 0,
  'dimming/intensity-times-level': 6,
} as const;
type Claim = keyof typeof claims;

/** The claim that has to catch a bug in the C source, and one that the bug leaves alone. */
const bugs: readonly (readonly [bug: string, caught: Claim, spared: Claim])[] = [
  ['straight-fade', 'fading/fade-follows-curve', 'dimming/reaches-bottom'],
  ['coarse-fade', 'fading/no-visible-step', 'dimming/reaches-bottom'],
  ['late-channels', 'fading/crossfade-arrives-together', 'dimming/reaches-bottom'],
  ['bottom-dropout', 'dimming/reaches-bottom', 'dimming/intensity-times-level'],
  ['coarse-intensities', 'dimming/intensity-times-level', 'dimming/reaches-bottom'],
  ['slow-tick', 'fading/fades-on-time', 'dimming/reaches-bottom'],
];

async function verdict(bytes: Uint8Array, name: Claim): Promise<string> {
  const image = await loadFirmware(bytes, 'alcove');
  const firmware = () => openFirmware(image);
  return (await judge(claim(name), claims[name], { firmware })).verdict;
}

describe('the example firmware keeps', () => {
  const bytes = buildAlcove();
  test.each(Object.keys(claims) as Claim[])('%s', async (name) => {
    expect(await verdict(bytes, name)).toBe('pass');
  });
});

describe('a bug in its source', () => {
  test.each(bugs)('%s is caught by %s, and spares %s', async (bug, caught, spared) => {
    const bytes = buildAlcove(bug);
    expect(await verdict(bytes, caught)).toBe('fail');
    expect(await verdict(bytes, spared)).toBe('pass');
  });
});

describe('a bug that only another processor of the lamp file shows', () => {
  const wrap = 2 ** 32 / 1e6;
  const shows: readonly (readonly [
    bug: string,
    claim: string,
    processors: readonly NonNullable<Lamp['processor']>[],
  ])[] = [
    ['tick-is-millisecond', 'fading/fades-on-time', [{ tick: 250e-6 }]],
    // The timer wraps so many seconds after power-on; one of them is within the sequence of levels.
    [
      'wrap-forgotten',
      'fading/dali-dapc-sequence',
      [1.8, 2.1, 2.4, 2.7].map((seconds) => ({ timerStart: wrap - seconds })),
    ],
  ];

  test.each(shows)('%s is caught by %s', async (bug, name, processors) => {
    const verdicts = async (bytes: Uint8Array, ons: typeof processors) => {
      const image = await loadFirmware(bytes, 'alcove');
      const all: string[] = [];
      for (const processor of ons) {
        const on = { lamp: { ...lamp, processor }, firmware: () => openFirmware(image) };
        all.push((await judge(claim(name), 0, on)).verdict);
      }
      return all;
    };
    expect(await verdicts(buildAlcove(bug), processors)).toContain('fail');
    expect(await verdicts(buildAlcove(bug), [{}])).toEqual(['pass']);
    expect(new Set(await verdicts(buildAlcove(), processors))).toEqual(new Set(['pass']));
  });
});

describe('a bug that only a converter with noise shows', () => {
  test('supply-unfiltered is caught by steady-at-full', async () => {
    const verdict = async (bytes: Uint8Array, noise: number) => {
      const image = await loadFirmware(bytes, 'alcove');
      const on = {
        lamp: { ...lamp, adc: { bits: 12, noise } },
        firmware: () => openFirmware(image),
      };
      return (await judge(claim('flicker/steady-at-full'), 0, on)).verdict;
    };
    const unfiltered = buildAlcove('supply-unfiltered');
    expect(await verdict(unfiltered, 8)).toBe('fail');
    expect(await verdict(unfiltered, 0)).toBe('pass');
    expect(await verdict(buildAlcove(), 8)).toBe('pass');
  });
});

describe('a bug that only a supply with too little hold-up shows', () => {
  test('stores-at-failure is caught by recalls-level', async () => {
    const verdict = async (bytes: Uint8Array, holdUp: number) => {
      const image = await loadFirmware(bytes, 'alcove');
      const supply = { ...lamp.supply, holdUp };
      const slow: Lamp = { ...lamp, supply, memory: { writeTime: 1e-3 } };
      const on = { lamp: slow, firmware: () => openFirmware(image) };
      return (await judge(claim('dimming/recalls-level'), 0, on)).verdict;
    };
    const late = buildAlcove('stores-at-failure');
    expect(await verdict(late, 0.02)).toBe('fail');
    expect(await verdict(late, 0.3)).toBe('pass');
    expect(await verdict(buildAlcove(), 0.02)).toBe('pass');
  });
});

describe('an order that an interrupt finds half written', () => {
  /** On processors a little faster or slower the interrupt comes elsewhere. */
  const speeds = [17e6, 18e6, 19e6, 20e6];

  async function verdicts(bytes: Uint8Array, preemptive: boolean): Promise<readonly string[]> {
    const image = await loadFirmware(bytes, 'alcove', { counted: true, preemptible: preemptive });
    const firmware = () => openFirmware(image);
    const all: string[] = [];
    for (const speed of speeds) {
      const on: Lamp = { ...lamp, processor: { speed, ...(preemptive && { preemptive }) } };
      const plan = claim('fading/no-visible-step');
      all.push((await judge(plan, 1, { lamp: on, firmware })).verdict);
    }
    return all;
  }

  test('is caught by no-visible-step where interrupts preempt, and nowhere else', async () => {
    const torn = buildAlcoveMainLoop('torn-orders');
    expect(await verdicts(torn, true)).toContain('fail');
    expect(new Set(await verdicts(torn, false))).toEqual(new Set(['pass']));
    expect(new Set(await verdicts(buildAlcoveMainLoop(), true))).toEqual(new Set(['pass']));
  });
});
