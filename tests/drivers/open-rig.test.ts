import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { openRig } from '../../drivers/open-rig.ts';
import { RealClock } from '../../drivers/real-clock.ts';
import { driverNames, findDriver } from '../../drivers/registry.ts';
import type { Rig, RigInstrument } from '../../harness/bench/rig.ts';
import { emulatedRig, lamp } from './conformance/shipped-bench.ts';

const folder = mkdtempSync(join(tmpdir(), 'evenfall-drivers-'));
afterAll(() => rmSync(folder, { recursive: true }));

/** A driver as a user would write it. */
const head = `export function open(instrument, context) {
  let asked = 0;
  return {
    kind: 'supply', driver: 'mine', name: instrument.name,
    async identify() {
      if (asked++ < (instrument.settings.deaf ?? 0)) throw new Error('deaf');
      return { maker: 'Own', model: 'Head', serial: '3', firmware: '', raw: '' };
    },
    async set() {}, async output() {},
    async read() { return { volts: context.lamp.supply.nominal, amps: 0, on: false }; },
    async close() { globalThis.closedHeads = (globalThis.closedHeads ?? 0) + 1; },
  };
}
`;
writeFileSync(join(folder, 'my-head.mjs'), head);
writeFileSync(join(folder, 'no-head.mjs'), 'export const opens = 1;\n');
writeFileSync(join(folder, 'odd-head.mjs'), `${head}export const settings = { deaf: 'number' };\n`);
// A schema as any library makes it that keeps to Standard Schema.
const schema = `export const settings = { '~standard': { version: 1, vendor: 'mine', validate: ({ deaf }) =>
  typeof deaf === 'string' ? { value: { deaf: deaf.length } } : { issues: [{ message: 'a text, please', path: ['deaf'] }] } } };
`;
writeFileSync(join(folder, 'strict-head.mjs'), `${head}${schema}`);
const bench = join(folder, 'node_modules/bench-head');
mkdirSync(bench, { recursive: true });
writeFileSync(
  join(bench, 'package.json'),
  '{"name":"bench-head","type":"module","main":"index.js"}',
);
writeFileSync(
  join(bench, 'index.js'),
  head.replace('export function open', 'export default function'),
);

function rigOf(driver: string, change: Partial<RigInstrument> = {}): Rig {
  const one = {
    name: 'head',
    driver,
    identity: {},
    limits: {},
    settings: {},
    deadline: 2,
    retries: 0,
  };
  return { ...emulatedRig, instruments: [{ ...one, ...change }] };
}

describe('opening a rig', () => {
  it.each(['./my-head.mjs', 'bench-head'])('takes a driver of the user’s: %s', async (driver) => {
    const opened = await openRig({ rig: rigOf(driver), lamp, folder });
    expect(opened.identities.get('head')).toMatchObject({ maker: 'Own', serial: '3' });
    const head_ = opened.instruments.get('head');
    const call = { signal: new AbortController().signal, deadline: 1 };
    expect(head_?.kind === 'supply' && (await head_.read(call)).volts).toBe(48);
    await opened.close();
  });

  it('parses the settings by the schema that the user’s driver exports', async () => {
    const rig = rigOf('./strict-head.mjs', { settings: { deaf: '' } });
    const opened = await openRig({ rig, lamp, folder });
    expect(opened.identities.get('head')).toMatchObject({ serial: '3' });
    await opened.close();
    const wrong = openRig({ rig: rigOf('./strict-head.mjs'), lamp, folder });
    await expect(wrong).rejects.toMatchObject({ kind: 'unsupported', instrument: 'head' });
    await expect(wrong).rejects.toThrow(/refuses its settings: deaf: a text, please/);
  });

  it('refuses an instrument that is another one, and closes what it opened', async () => {
    const before = (globalThis as { closedHeads?: number }).closedHeads ?? 0;
    const rig = rigOf('./my-head.mjs', { identity: { maker: 'Own', serial: '4' } });
    const refused = openRig({ rig, lamp, folder });
    await expect(refused).rejects.toMatchObject({ kind: 'identity-mismatch', instrument: 'head' });
    await expect(refused).rejects.toThrow(/expects serial 4, it says serial 3/);
    expect((globalThis as { closedHeads?: number }).closedHeads).toBe(before + 1);
  });

  it.each([
    ['scip', /no driver "scip".*did you mean "scpi"/],
    ['./gone.mjs', /gone\.mjs cannot be loaded/],
    ['./no-head.mjs', /exports opens; it must export a function "open"/],
    ['./odd-head.mjs', /exports "settings" that is no schema/],
    ['plant', /simulates a whole rig/],
  ])('says what is wrong with the driver %s', async (driver, words) => {
    const refused = openRig({ rig: rigOf(driver), lamp, folder });
    await expect(refused).rejects.toMatchObject({ kind: 'unsupported' });
    await expect(refused).rejects.toThrow(words);
  });

  it('loads every driver that it names', async () => {
    for (const name of driverNames)
      expect(await findDriver('one', name, folder)).toBeTypeOf('function');
  });
});

describe('the clock of a bench', () => {
  it('waits until an instant, no less, and rejects when cancelled', async () => {
    const clock = new RealClock();
    const { signal } = new AbortController();
    const instant = clock.now() + 0.02;
    await clock.waitUntil(instant, signal);
    expect(clock.now()).toBeGreaterThanOrEqual(instant);
    const waiting = clock.waitUntil(clock.now() + 1000, AbortSignal.timeout(20));
    await expect(waiting).rejects.toMatchObject({ kind: 'cancelled' });
  });
});
