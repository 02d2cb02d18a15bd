import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { RealClock } from '../../../drivers/real-clock.ts';
import { driverSettings } from '../../../drivers/registry.ts';
import { readProfile } from '../../../drivers/scpi/read-profile.ts';
import { scpiDriver } from '../../../drivers/scpi/scpi-driver.ts';
import { readLamp } from '../../../harness/bench/lamp-file.ts';
import type {
  Call,
  ColourSensor,
  Digitiser,
  Instrument,
  Supply,
} from '../../../harness/bench/ports.ts';
import { readRig } from '../../../harness/bench/rig-file.ts';
import { type Answer, FakeInstrument } from './fake-instrument.ts';

const rigs = resolve(import.meta.dirname, '../../../specs/rigs');
const lampText = readFileSync(resolve(rigs, '../lamps/alcove-6.lamp.yaml'), 'utf8');
const call = (deadline = 3): Call => ({ signal: new AbortController().signal, deadline });

const opened: { instrument: Instrument; fake: FakeInstrument }[] = [];
afterEach(async () => {
  for (const { instrument, fake } of opened.splice(0)) {
    await instrument.close();
    await fake.stop();
  }
});

/** One instrument with a shipped profile on a fake of it; `special` answers first. */
async function open<T extends Instrument>(
  profile: string,
  special: (line: string) => Answer | undefined,
): Promise<{ instrument: T; fake: FakeInstrument }> {
  const fake = await FakeInstrument.start((line) => {
    const own = special(line);
    if (own !== undefined) return own;
    if (line === 'SYST:ERR?') return '0,"No error"';
    return line === '*IDN?' ? 'Tarn,X,1,1' : line === '*OPC?' ? '1' : null;
  });
  const text = `rig: one
about: a test
place: here
instruments:
  it: { driver: scpi, profile: ${profile}.profile.yaml, address: "${fake.address}", inputs: { light: 7 } }
wiring:
  - { signal: light, of: all, instrument: it, input: light, scale: 1 lx/V, standard-scale: 1 %, standard-offset: 0 lx, noise: 1 lx, bandwidth: 1 kHz, bits: 16, full-scale: 5 lx }
links: { console: it }
supply: { instrument: it, highest-volts: 52 V, highest-amps: 5 A }
safe: { lamp: off, supply: off, within: 5 s }
`;
  const read = readRig(text, 'test.rig.yaml', driverSettings);
  const lamp = readLamp(lampText, 'lamp');
  if ('issues' in read || 'issues' in lamp) throw new Error(JSON.stringify(read));
  const context = { rig: read.rig, lamp: lamp.lamp, clock: new RealClock(), folder: rigs };
  const instrument = (await scpiDriver.open(read.rig.instruments[0]!, context)) as T;
  opened.push({ instrument, fake });
  return { instrument, fake };
}

/** A digitiser whose codes count upwards; it takes the time that its record lasts. */
function digitiser(change: Partial<Record<string, Answer>> = {}) {
  let [samples, complete] = [0, 0];
  const rate = Number(change['ACQ:RATE?'] ?? 10_000);
  return (line: string): Answer | undefined => {
    if (line in change) return change[line];
    const points = /^ACQ:POIN (\d+)$/.exec(line);
    if (points) samples = Number(points[1]);
    if (line === 'INIT') complete = performance.now() + (1000 * samples) / rate;
    if (line === 'ACQ:RATE?') return '10000';
    if (line === 'ACQ:STAT?') return performance.now() < complete ? 'RUN' : 'DONE';
    if (line === 'WAV:PRE? 7') return `${samples},${rate},0.5,-1,-100,100,0`;
    if (line !== 'WAV:DATA? 7') return undefined;
    const data = Buffer.alloc(samples * 2);
    for (let at = 0; at < samples; at++) data.writeInt16LE(at - 10, at * 2);
    const length = String(data.length);
    return Buffer.concat([Buffer.from(`#${length.length}${length}`), data, Buffer.from('\n')]);
  };
}

const pointsOf = ({ heard }: FakeInstrument): readonly number[] =>
  heard.filter((line) => line.startsWith('ACQ:POIN')).map((line) => Number(line.slice(9)));

const setup = { inputs: [{ input: 'light' }], rate: 10_000, duration: 0.05 };

describe('a digitiser behind its profile', () => {
  it('is set up, armed, waited for, fetched and scaled', async () => {
    const { instrument, fake } = await open<Digitiser>('tarn-d16', digitiser());
    const { started, finished } = await instrument.arm(setup, call());
    const [record] = await finished;
    expect(fake.heard).toContain('ACQ:RATE 10000');
    // And up to 63 more, by chance: an old record is not as long.
    expect(pointsOf(fake)[0]).toBeGreaterThanOrEqual(500);
    expect(pointsOf(fake)[0]).toBeLessThanOrEqual(563);
    expect(fake.heard).toContain('INP7:RANG 5');
    expect(record).toMatchObject({ input: 'light', scale: 0.5, offset: -1, unit: 'V', rate: 1e4 });
    expect(record).toMatchObject({ lowest: -100, highest: 100 });
    // Its own answers narrow the start down, and never move it out of what was known when it was armed.
    const { start, standardStart = 0 } = record!;
    expect(Math.abs(start - started)).toBeLessThan(0.02);
    expect(standardStart).toBeGreaterThan(0);
    expect(standardStart).toBeLessThan(0.01);
    expect([...record!.codes.slice(0, 3)]).toEqual([-10, -9, -8]);
    expect(record!.codes).toHaveLength(500);
  });

  it('takes the samples that a rate of its own needs', async () => {
    const own = { 'ACQ:RATE?': '8000' };
    const { instrument, fake } = await open<Digitiser>('tarn-d16', digitiser(own));
    const { finished } = await instrument.arm(setup, call());
    expect((await finished)[0]!.codes).toHaveLength(400);
    const [first = 0, second = 0] = pointsOf(fake);
    expect(first - second).toBe(100);
  });

  it('never hands out half a record', async () => {
    const half = { 'WAV:DATA? 7': Buffer.from('#14abcd\n') };
    const { instrument } = await open<Digitiser>('tarn-d16', digitiser(half));
    const { finished } = await instrument.arm(setup, call());
    await expect(finished).rejects.toMatchObject({ kind: 'garbled' });
    await expect(finished).rejects.toThrow(/with 4 bytes; expected 1\d\d\d/);
  });

  it('rejects in time when it never gets done, and is free again', async () => {
    const forever = { 'ACQ:STAT?': 'RUN' };
    const { instrument } = await open<Digitiser>('tarn-d16', digitiser(forever));
    const first = await instrument.arm(setup, call(0.3));
    await expect(first.finished).rejects.toMatchObject({ kind: 'timeout' });
    const again = await instrument.arm(setup, call(0.3));
    await expect(again.finished).rejects.toMatchObject({ kind: 'timeout' });
  });

  it('takes one record at a time and refuses what it cannot do', async () => {
    const { instrument } = await open<Digitiser>('tarn-d16', digitiser());
    const { finished } = await instrument.arm(setup, call());
    await expect(instrument.arm(setup, call())).rejects.toThrow(/one at a time/);
    await finished;
    const fast = { ...setup, rate: 2e6 };
    await expect(instrument.arm(fast, call())).rejects.toMatchObject({ kind: 'unsupported' });
    const other = { ...setup, inputs: [{ input: 'lihgt' }] };
    await expect(instrument.arm(other, call())).rejects.toThrow(/no input lihgt.*light/);
  });
});

describe('a supply behind its profile', () => {
  /** Its output follows the orders but where it is stuck. */
  function supply(stuck = false, latched: string[] = []) {
    let on = false;
    return (line: string): Answer | undefined => {
      if (line === 'OUTP ON') on = true;
      if (line === 'OUTP OFF' && !stuck) on = false;
      if (line === 'OUTP?') return on ? '1' : '0';
      if (line === 'MEAS:VOLT?') return '4.8013E+1';
      if (line === 'OUTP:MODE?') return 'CV';
      if (line === 'STAT:QUES?') return latched.shift() ?? '0';
      return line === 'MEAS:CURR?' ? '+3.1E-1' : undefined;
    };
  }

  it('sets, switches and reads', async () => {
    const { instrument, fake } = await open<Supply>('tarn-p60', supply());
    await instrument.set({ volts: 48, limitAmps: 5 }, call());
    await instrument.output(true, call());
    expect(await instrument.read(call())).toEqual({
      ...{ volts: 48.013, amps: 0.31, on: true },
      ...{ mode: 'voltage', protections: [] },
    });
    await instrument.output(false, call());
    expect(await instrument.read(call())).toMatchObject({ on: false });
    const orders = fake.heard.filter((line) => /^(VOLT|CURR|OUTP O)/.test(line));
    expect(orders).toEqual(['CURR 5', 'VOLT 48', 'OUTP ON', 'OUTP OFF']);
  });

  it('names the protections that have acted, forgets them on request, and refuses nonsense', async () => {
    const { instrument } = await open<Supply>('tarn-p60', supply(false, ['3', '18', '2', 'x']));
    const acted = async () => (await instrument.read(call())).protections;
    expect(await acted()).toEqual(['voltage lost', 'current limit']);
    expect(await acted()).toEqual(['current limit', 'bit 4 of its status']);
    await instrument.clear?.(call());
    await expect(acted()).rejects.toMatchObject({ kind: 'garbled' });
    expect(await acted()).toEqual([]);
  });

  it('does not believe that it is off when it says that it is on', async () => {
    const { instrument } = await open<Supply>('tarn-p60', supply(true));
    await instrument.output(true, call());
    await expect(instrument.output(false, call())).rejects.toThrow(/says that it is on/);
  });

  it('never sends more than the rig allows', async () => {
    const { instrument, fake } = await open<Supply>('tarn-p60', supply());
    await expect(instrument.set({ volts: 53 }, call())).rejects.toMatchObject({ kind: 'refused' });
    expect(fake.heard.filter((line) => line.startsWith('VOLT'))).toEqual([]);
  });

  it.each([
    ['9.91E37', 'garbled'],
    ['9.9E37', 'overload'],
    ['-9.9E+37', 'overload'],
    ['four', 'garbled'],
    ['', 'garbled'],
  ])('never takes %s for a voltage', async (reply, kind) => {
    const healthy = supply();
    const { instrument } = await open<Supply>('tarn-p60', (line) =>
      line === 'MEAS:VOLT?' ? reply : healthy(line),
    );
    await expect(instrument.read(call())).rejects.toMatchObject({ kind });
  });
});

describe('a colour sensor behind its profile', () => {
  it.each([
    ['95,100,109,0', { X: 95, Y: 100, Z: 109, state: 'good' }],
    ['1,2,3,1', { state: 'saturated' }],
    ['9.9E37,9.9E37,9.9E37,1', { Y: 0, state: 'saturated' }],
    ['0,0,0,2', { state: 'under-range' }],
  ])('reads %s', async (reply, expected) => {
    const { instrument } = await open<ColourSensor>('tarn-c3', (line) =>
      line === 'READ:XYZ?' ? reply : undefined,
    );
    expect(await instrument.read({ integration: 1e-3 }, call())).toMatchObject(expected);
  });

  it.each([
    ['9.9E37,1,1,0', 'overload'],
    ['1,2,3,9', 'garbled'],
    ['1,2', 'garbled'],
  ])('refuses %s', async (reply, kind) => {
    const { instrument } = await open<ColourSensor>('tarn-c3', (line) =>
      line === 'READ:XYZ?' ? reply : undefined,
    );
    await expect(instrument.read({ integration: 1e-3 }, call())).rejects.toMatchObject({ kind });
  });
});

describe('instrument profiles', () => {
  it.each(['tarn-d16', 'tarn-p60', 'tarn-c3', 'tarn-m5'])('ship without issues: %s', (name) => {
    const file = `${name}.profile.yaml`;
    expect(readProfile(readFileSync(resolve(rigs, file), 'utf8'), file)).toHaveProperty('profile');
  });

  it('are told what is wrong with them, with line and column', () => {
    const text = readFileSync(resolve(rigs, 'tarn-p60.profile.yaml'), 'utf8')
      .replace('output-off:', 'outptu-off:')
      .replace('{volts}', '{volt}');
    const read = readProfile(text, 'x.profile.yaml');
    const told = 'issues' in read ? read.issues.map(({ message }) => message).join('\n') : '';
    expect(told).toMatch(/unknown key "outptu-off".*output-off/);
    const places = readProfile(text.replace('outptu-off:', 'output-off:'), 'x.profile.yaml');
    expect('issues' in places && places.issues[0]).toMatchObject({ path: 'volts', line: 13 });
  });
});
