import { expect, test } from 'vitest';
import { findFault } from '../../../../drivers/plant/faults/faults.ts';
import { healthyModel } from '../../../../drivers/plant/model.ts';
import type { Lamp } from '../../../../harness/bench/lamp.ts';
import { alcove, target } from '../firmware/alcove.ts';
import { call, LinkDesk } from '../links/link-desk.ts';

const all = { warm: 1, cool: 1, red: 1, lime: 1, cyan: 1, indigo: 1 };
const full = new Array(14).fill(255);

/** Carries out a script on a lamp with the fault at its nominal size, or on a healthy one. */
async function trial(id: string | null, script: (desk: LinkDesk) => Promise<number>, lamp: Lamp) {
  const model = healthyModel(lamp, 1);
  const fault = id === null ? undefined : findFault(id)!;
  fault?.apply(model, fault.size.nominal, lamp);
  return script(new LinkDesk({ lamp, firmware: model.firmware, links: model.links }));
}

const wait = (desk: LinkDesk, seconds: number) => desk.runUntil(desk.clock.now() + seconds);

/** Light of the warm channel after a setting, 0..1. */
const set =
  (level: number, warm = 1) =>
  async (desk: LinkDesk) => {
    await desk.open('console').set(target(level, { warm }), call());
    wait(desk, 0.01);
    return desk.lamp.light(0, 8);
  };

/** Light of a channel at an instant of a fade of 1 s from full. */
const fade =
  (to: number, at: number, channel = 0) =>
  async (desk: LinkDesk) => {
    const link = desk.open('console');
    await link.set(target(1, all), call());
    wait(desk, 0.2);
    await link.fade(target(to, all), 1, call());
    wait(desk, at);
    return desk.lamp.drives[channel]! / 65536;
  };

/** Lowest and highest light of the warm channel in a second at rest, as their ratio. */
const unrest = (level: number) => async (desk: LinkDesk) => {
  await desk.open('console').set(target(level, { warm: 1 }), call());
  wait(desk, 0.01);
  const means: number[] = [];
  for (let slice = 0; slice < 125; slice++) means.push(desk.lamp.light(0, 8));
  return Math.max(...means) / Math.min(...means);
};

/** Answer of the gear after frames; -1 for silence. */
const dali =
  (...frames: readonly (readonly number[])[]) =>
  async (desk: LinkDesk) => {
    for (const [first = 0, second = 0, pause = 0.03] of frames) {
      desk.lamp.dali(first, second);
      wait(desk, pause);
    }
    return desk.lamp.dali(0x0b, frames.at(-1)?.[3] ?? 0xa0) ?? -1;
  };

/** Light of the warm channel at an arc power level. */
const daliLight = (level: number) => async (desk: LinkDesk) => {
  desk.lamp.dali(0x0a, level);
  wait(desk, 0.01);
  return desk.lamp.light(0, 8);
};

/** Light after an odd message of the network or the DMX line, over a stream at a half. */
const stream =
  (link: 'dmx' | 'sacn', message: object, then: object | null = null) =>
  async (desk: LinkDesk) => {
    const lamp = desk.open(link);
    await lamp.set(target(0.5, all), call());
    wait(desk, 0.2);
    if (link === 'dmx') await lamp.carry(false, call());
    for (const options of [message, then]) {
      if (!options) continue;
      await lamp.send({ link, startCode: 0, slots: full, ...options }, call());
      wait(desk, 0.08);
    }
    return desk.lamp.light(0, 8);
  };

/** Light after bytes that are no message; a sender that repeats its levels is silent meanwhile. */
const noise = (link: string, bytes: readonly number[]) => async (desk: LinkDesk) => {
  const lamp = desk.open(link);
  await lamp.set(target(0.5, all), call());
  wait(desk, 0.2);
  if (link === 'dmx' || link === 'sacn') await lamp.carry(false, call());
  await lamp.noise(Uint8Array.from(bytes), call());
  wait(desk, 0.08);
  return desk.lamp.light(0, 8);
};

type Row = readonly [
  id: string,
  script: (desk: LinkDesk) => Promise<number>,
  healthy: number,
  faulty: number,
];

const rows: readonly Row[] = [
  ['linear-dimming', fade(0.01, 0.5), 0.1, 0.505],
  ['coarse-fade-steps', fade(0.001, 0.9), 0.002, 1 / 256],
  ['truncated-intensities', set(1, 0.07), 0.07, 2 / 32],
  ['rounding-down', set(0.009, 0.07), 0.00063, 2 / 4096],
  ['product-overflow', set(0.8), 0.8, 0.3],
  [
    'fade-table-offset',
    dali([0xa3, 1], [0x0b, 0x2e], [0x0b, 0x2e], [0x0a, 254, 0.75, 0xa0]),
    254,
    191,
  ],
  ['fade-down-sign', fade(0.01, 0.5), 0.1, 0.158],
  ['fade-cut-short', fade(0.01, 0.95), 0.0126, 0.01],
  ['fade-overshoot', fade(0.01, 0.985), 0.0107, 0.009],
  ['late-channels', fade(0.01, 0.5, 5), 0.1, 0.1115],
  ['channels-out-of-step', fade(0.01, 0.5, 5), 0.1, 0.1995],
  ['tick-jitter', fade(0.01, 0.45), 0.126, 0.158],
  ['missed-ticks', fade(0.01, 0.5), 0.1, 0.126],
  ['clock-drift', fade(0.01, 0.5), 0.1, 0.083],
  ['bottom-dropout', set(0.001), 0.001, 0],
  ['dead-zone', set(0.001), 0.001, 0.002],
  ['no-dither', set(0.001), 0.001, 4 / 4096],
  ['visible-dither', unrest(0.001), 1, 5 / 4],
  ['level-hunting', unrest(0.01), 1, 1.1 / 0.9],
  ['direction-hysteresis', set(0.5), 0.5, 0.44],
  ['command-latency', set(0.5), 0.5, 0],
  ['latency-under-load', set(0.5), 0.5, 0],
  ['dali-curve-offset', daliLight(170), 0.100914, 0.11256],
  ['wrong-clamp', dali([0x0a, 254]), 254, 234],
  ['min-level-ignored', dali([0xa3, 100], [0x0b, 0x2b], [0x0b, 0x2b], [0x0a, 50]), 100, 50],
  ['send-twice-ignored', dali([0xa3, 100], [0x0b, 0x2a, 0.03, 0xa1]), 254, 100],
  ['send-twice-late', dali([0xa3, 100], [0x0b, 0x2a, 0.3], [0x0b, 0x2a, 0.03, 0xa1]), 254, 100],
  ['wrong-start-code', stream('dmx', { startCode: 0xcc }), 0.5, 1],
  ['preview-accepted', stream('sacn', { preview: true }), 0.5, 1],
  ['priority-ignored', stream('sacn', { priority: 50 }), 0.5, 1],
  ['sequence-ignored', stream('sacn', { sequence: 250 }), 0.5, 1],
  [
    'terminated-ignored',
    stream('sacn', { priority: 150 }, { priority: 150, terminated: true }),
    0.5,
    1,
  ],
  ['refusal-dims', noise('console', [0x99, 0x41]), 0.5, 0.4],
  // Level 229, the nearest to a half, is 50.53 % (confirmed in public tables of IEC 62386-102).
  ['long-frames-taken', noise('dali', [0xfe, 254, 0]), 0.5053, 1],
  ['long-frames-shifted', noise('dali', [0x0b, 0xfe, 254]), 0.5053, 1],
  ['break-not-awaited', noise('dmx', [0, ...full]), 0.5, 1],
  ['packet-head-ignored', noise('sacn', [...new Array(126).fill(0), ...full]), 0.5, 1],
];

test.each(rows)(
  '%s shows where it should, and a healthy lamp does not',
  async (id, script, healthy, faulty) => {
    const [ours, theirs] = [await trial(null, script, alcove), await trial(id, script, alcove)];
    expect(Math.abs(ours - healthy)).toBeLessThan(0.012 * Math.max(healthy, 0.001));
    expect(Math.abs(theirs - faulty)).toBeLessThan(0.05 * Math.max(faulty, 0.001));
  },
);

test('lost orders are acknowledged', async () => {
  const script = async (desk: LinkDesk) => {
    const link = desk.open('console');
    for (const level of [0.2, 0.4, 0.6]) await link.set(target(level, all), call());
    await link.set(target(0.8, all), call());
    wait(desk, 0.01);
    return desk.lamp.light(0, 8);
  };
  expect(await trial(null, script, alcove)).toBeCloseTo(0.8, 4);
  expect(await trial('lost-orders', script, alcove)).toBeCloseTo(0.6, 4);
});

test('lost frames are lost on the DALI bus only', async () => {
  const arrivals = (link: 'dali' | 'console') => async (desk: LinkDesk) => {
    const before = desk.arrived.length;
    for (let turn = 0; turn < 50; turn++) {
      if (link === 'dali') await desk.open(link).send({ link, frame: [0x0a, 100] }, call());
      else await desk.open(link).send({ link, line: 'who' }, call());
    }
    return desk.arrived.length - before;
  };
  // Each link counts its own messages, and number 0 is not among the lost ones.
  expect(await trial('lost-frames', arrivals('console'), alcove)).toBe(50 * 4);
  const one = async (desk: LinkDesk) => {
    const link = desk.open('dali');
    for (let turn = 0; turn < 100; turn++)
      await link.send({ link: 'dali', frame: [0x0a, 100] }, call());
    return desk.arrived.length;
  };
  expect(await trial(null, one, alcove)).toBe(100);
  expect(Math.abs((await trial('lost-frames', one, alcove)) - 80)).toBeLessThan(12);
});

test('the wrong thing happens on loss of the signal', async () => {
  const script = async (desk: LinkDesk) => {
    const link = desk.open('dmx');
    await link.set(target(0.5, all), call());
    await link.carry(false, call());
    wait(desk, 2);
    return desk.lamp.light(0, 8);
  };
  const off = { firstSlot: 1, bits: 16, onLoss: 'off' } as const;
  const other: Lamp = { ...alcove, links: { ...alcove.links, dmx: off } };
  expect(await trial(null, script, alcove)).toBeCloseTo(0.5, 4);
  expect(await trial('wrong-loss-action', script, alcove)).toBe(0);
  expect(await trial(null, script, other)).toBe(0);
  expect(await trial('wrong-loss-action', script, other)).toBeCloseTo(0.5, 4);
});

test('a fine slot that is ignored costs resolution over DMX, not over the console', async () => {
  const script = (link: string) => async (desk: LinkDesk) => {
    await desk.open(link).set(target(0.1, all), call());
    wait(desk, 0.1);
    return desk.lamp.light(0, 8);
  };
  expect(await trial('fine-slot-ignored', script('console'), alcove)).toBeCloseTo(0.1, 4);
  expect(await trial(null, script('dmx'), alcove)).toBeCloseTo(0.1, 4);
  expect(await trial('fine-slot-ignored', script('dmx'), alcove)).toBeLessThan(0.09);
});

test('a new order in mid-fade: jumps, is dropped, or meets a restart', async () => {
  const script = async (desk: LinkDesk) => {
    const link = desk.open('console');
    await link.set(target(1, all), call());
    wait(desk, 0.01);
    await link.fade(target(0.01, all), 4, call());
    wait(desk, 1);
    await link.fade(target(0.5, all), 4, call());
    wait(desk, 0.002);
    return desk.lamp.drives[0]! / 65536;
  };
  expect(await trial(null, script, alcove)).toBeCloseTo(0.316, 2);
  expect(await trial('retarget-jump', script, alcove)).toBeCloseTo(0.01, 2);
  const settled = async (desk: LinkDesk) => {
    await script(desk);
    wait(desk, 5);
    return desk.lamp.light(0, 8);
  };
  expect(await trial(null, settled, alcove)).toBeCloseTo(0.5, 3);
  expect(await trial('last-command-loses', settled, alcove)).toBeCloseTo(0.01, 3);
  const dark = async (desk: LinkDesk) => {
    await fade(0.01, 0.5)(desk);
    const link = desk.open('console');
    await link.fade(target(0.5, all), 4, call());
    wait(desk, 1.1);
    return desk.lamp.drives[0]!;
  };
  expect(await trial(null, dark, alcove)).toBeGreaterThan(0);
  expect(await trial('reset-in-fade', dark, alcove)).toBe(0);
});

test('the last level is forgotten', async () => {
  const script = async (desk: LinkDesk) => {
    await set(0.5)(desk);
    desk.lamp.restart();
    wait(desk, 0.5);
    return desk.lamp.light(0, 8);
  };
  expect(await trial(null, script, alcove)).toBeCloseTo(0.5, 4);
  expect(await trial('last-level-forgotten', script, alcove)).toBe(0);
});

test('commands starve the control tick', async () => {
  const script = async (desk: LinkDesk) => {
    const link = desk.open('console');
    for (let turn = 0; turn < 10; turn++) await link.set(target(0.5, all), call());
    await link.fade(target(0.01, all), 0.1, call());
    wait(desk, 0.2);
    return desk.lamp.drives[0]! / 65536;
  };
  expect(await trial(null, script, alcove)).toBeCloseTo(0.01, 4);
  expect(await trial('processor-starvation', script, alcove)).not.toBeCloseTo(0.01, 2);
});
