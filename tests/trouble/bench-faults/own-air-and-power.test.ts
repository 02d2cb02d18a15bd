import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { openRig } from '../../../drivers/open-rig.ts';
import type { Instrument } from '../../../harness/bench/ports.ts';
import type { Rig } from '../../../harness/bench/rig.ts';
import { emulatedRig, lamp } from '../../drivers/conformance/shipped-bench.ts';

const folder = mkdtempSync(join(tmpdir(), 'evenfall-own-air-'));
afterAll(() => rmSync(folder, { recursive: true }));

/** An instrument of any kind as a user would write it: it says what its settings say. */
writeFileSync(
  join(folder, 'own.mjs'),
  `export function open(instrument) {
  const { kind, says, without = [] } = instrument.settings;
  const answer = async () => says === 'NaN' ? { celsius: NaN, on: true } : says;
  const all = {
    kind, driver: 'mine', name: 'mine',
    async identify() { return { maker: 'Own', model: kind, serial: '7', firmware: '1' }; },
    async set() {}, async stop() {}, async output() {}, read: answer,
    measure: async () => ({ ...says, values: Array.isArray(says.values) ? Float64Array.from(says.values) : says.values }),
    async close() {},
  };
  for (const name of without) delete all[name];
  return all;
}
`,
);

const call = { signal: new AbortController().signal, deadline: 1 };

async function opened(settings: object): Promise<Instrument> {
  const one = { name: 'own', driver: join(folder, 'own.mjs'), identity: {}, limits: {}, settings };
  const rig: Rig = { ...emulatedRig, instruments: [{ ...one, deadline: 1, retries: 0 }] };
  const bench = await openRig({ rig, lamp, folder });
  const instrument = bench.instruments.get('own');
  if (!instrument) throw new Error('expected an instrument');
  return instrument;
}

const spectrum = { at: 1, integration: 0.1, from: 380e-9, step: 1e-9, state: 'good' };

describe('an instrument of the user’s own', () => {
  it.each([
    ['chamber', undefined, /answered read\(\) with undefined/],
    ['chamber', 'NaN', /a wrong celsius/],
    ['chamber', { celsius: 25 }, /a wrong on/],
    ['chamber', { celsius: '25', on: true }, /a wrong celsius/],
    ['thermometer', {}, /a wrong celsius/],
    ['thermometer', { celsius: -300 }, /a wrong celsius/],
    ['switch', { on: 1 }, /a wrong on/],
    ['switch', true, /answered read\(\) with true/],
  ])('%s that says %j: a bench error with its name', async (kind, says, words) => {
    const instrument = await opened({ kind, says });
    if (!('read' in instrument)) throw new Error('expected a read()');
    const reading = (instrument.read as (one: typeof call) => Promise<unknown>)(call);
    await expect(reading).rejects.toMatchObject({ kind: 'garbled', instrument: 'own' });
    await expect(reading).rejects.toThrow(words);
  });

  it.each([
    [{ ...spectrum, values: [1, 'x'] }, /a wrong values/],
    [{ ...spectrum, values: 'much' }, /a wrong values/],
    [{ ...spectrum, from: 380, values: [1, 2, 3] }, /a wrong from: expected metres/],
    [{ ...spectrum, step: 0, values: [1, 2, 3] }, /a wrong step/],
    [{ ...spectrum, state: 'fine', values: [1, 2, 3] }, /a wrong state/],
  ])('spectrometer that measures %j: a bench error with its name', async (says, words) => {
    const instrument = await opened({ kind: 'spectrometer', says });
    if (instrument.kind !== 'spectrometer') throw new Error('expected a spectrometer');
    const measuring = instrument.measure({ integration: 0.1 }, call);
    await expect(measuring).rejects.toMatchObject({ kind: 'garbled', instrument: 'own' });
    await expect(measuring).rejects.toThrow(words);
  });

  it.each([
    ['chamber', 'stop'],
    ['switch', 'output'],
    ['spectrometer', 'measure'],
    ['thermometer', 'read'],
  ])('%s without %s is none', async (kind, method) => {
    await expect(opened({ kind, says: {}, without: [method] })).rejects.toThrow(
      new RegExp(`opened a ${kind} without ${method}`),
    );
  });
});
