import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { DriverClock } from '../../../drivers/driver-clock.ts';
import { recordingDriver } from '../../../drivers/recording/recording-driver.ts';
import type { Digitiser } from '../../../harness/bench/ports.ts';
import { encodeNpy } from '../../../harness/files/npy.ts';
import { lamp, emulatedRig as rig } from '../conformance/shipped-bench.ts';
import { instrumentOf } from '../instrument-of.ts';

/** Time passes when somebody waits. */
function virtualClock(): DriverClock & { stopped: boolean } {
  let now = 1.5;
  return {
    kind: 'virtual',
    stopped: false,
    now: () => now,
    schedule: () => () => {},
    waitUntil(instant, signal) {
      if (signal.aborted) return Promise.reject(signal.reason);
      if (this.stopped)
        return new Promise((_, reject) =>
          signal.addEventListener('abort', () => reject(signal.reason)),
        );
      now = Math.max(now, instant);
      return Promise.resolve();
    },
  };
}

const call = () => ({ signal: new AbortController().signal, deadline: 5 });

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'evenfall-recording-'));
  const rows = Array.from({ length: 100 }, (_, k) => `${k / 1000},${k / 10},${-k}`);
  await writeFile(join(folder, 'two.csv'), `time,warm (mA),cool (V)\n${rows.join('\n')}\n`);
  await writeFile(join(folder, 'light.npy'), encodeNpy(Int16Array.of(-5, 0, 5, 32767)));
  await writeFile(join(folder, 'bad.csv'), 'time,a\n0,1\n1,x\n');
});
afterAll(() => rm(folder, { recursive: true }));

/** The digitiser that these files stand in for. */
async function open(files: object, clock: DriverClock = virtualClock()): Promise<Digitiser> {
  const instrument = instrumentOf(recordingDriver, { files }, { name: 'scope' });
  return (await recordingDriver.open(instrument, { rig, lamp, clock, folder })) as Digitiser;
}
const values = (codes: ArrayLike<number>, scale: number) =>
  Array.from(codes, (code) => code * scale);

describe('a recording behind the Digitiser port', () => {
  it('hands out the columns that stand in for its inputs, in SI, from its own start on', async () => {
    const scope = await open({
      ch1: { file: 'two.csv', column: 'warm' },
      ch2: { file: 'two.csv', column: 'cool' },
    });
    const setup = { inputs: [{ input: 'ch2' }, { input: 'ch1' }], rate: 1000, duration: 0.05 };
    const { started, finished } = await scope.arm(setup, call());
    const [ch2, ch1] = await finished;
    expect(started).toBe(1.5);
    expect(ch1).toMatchObject({ input: 'ch1', unit: 'A', rate: 1000, start: 1.5, offset: 0 });
    expect(ch1!.codes).toHaveLength(50);
    for (const [k, value] of values(ch1!.codes, ch1!.scale).entries())
      expect(value).toBeCloseTo(k / 1e4, 9);
    expect(ch2!.unit).toBe('V');
    expect(ch2!.codes[3]! * ch2!.scale).toBeCloseTo(-3, 6);
  });

  it('can be armed again, and then begins again', async () => {
    const scope = await open({ ch1: { file: 'two.csv', column: 'cool' } });
    const setup = { inputs: [{ input: 'ch1' }], rate: 1000, duration: 0.01 };
    const takes = [];
    for (let k = 0; k < 2; k++) takes.push((await (await scope.arm(setup, call())).finished)[0]!);
    expect(takes[1]!.codes).toEqual(takes[0]!.codes);
    expect(takes[1]!.start).toBeCloseTo(takes[0]!.start + 0.01, 9);
  });

  it('reads raw codes and says where the record comes from', async () => {
    const scope = await open({ pd: { file: 'light.npy', rate: '2 kS/s' } });
    expect(scope.capabilities).toMatchObject({
      inputs: ['pd'],
      highestRate: 2000,
      longestRecord: 4,
    });
    const identity = await scope.identify(call());
    expect(identity.serial).toMatch(/^[0-9a-f]{16}$/);
    const setup = { inputs: [{ input: 'pd' }], rate: 2000, duration: 0.002 };
    const [pd] = await (await scope.arm(setup, call())).finished;
    expect(values(pd!.codes, pd!.scale)).toEqual([-5, 0, 5, 32767]);
  });

  it.each([
    [
      'another rate',
      { inputs: [{ input: 'ch1' }], rate: 2000, duration: 0.01 },
      /recorded at 1000/,
    ],
    ['a longer record', { inputs: [{ input: 'ch1' }], rate: 1000, duration: 5 }, /holds 0\.1 s/],
    ['another input', { inputs: [{ input: 'ch9' }], rate: 1000, duration: 0.01 }, /files for ch1/],
  ])('refuses %s instead of making it up', async (_, setup, words) => {
    const scope = await open({ ch1: { file: 'two.csv', column: 'warm' } });
    const failure = await scope.arm(setup, call()).catch((error) => error);
    expect(failure).toMatchObject({ name: 'BenchError', kind: 'unsupported', instrument: 'scope' });
    expect(failure.message).toMatch(words);
  });

  it.each([
    [
      'a column that is not there',
      { ch1: { file: 'two.csv', column: 'lime' } },
      /it has warm, cool/,
    ],
    ['no column where there are several', { ch1: { file: 'two.csv' } }, /name one with column/],
    ['a file that is not there', { ch1: { file: 'none.csv' } }, /cannot be read/],
    [
      'a file with text in it',
      { ch1: { file: 'bad.csv' } },
      /bad\.csv:3:2: expected a finite number/,
    ],
  ])('is refused with %s', async (_, files, words) => {
    const failure = await open(files).catch((error) => error);
    expect(failure).toMatchObject({ name: 'BenchError', kind: 'unsupported' });
    expect(failure.message).toMatch(words);
  });

  it('rejects work in flight when it is closed or cancelled, and every call afterwards', async () => {
    const clock = virtualClock();
    clock.stopped = true;
    const scope = await open({ ch1: { file: 'two.csv', column: 'warm' } }, clock);
    const setup = { inputs: [{ input: 'ch1' }], rate: 1000, duration: 0.01 };
    const cancelling = new AbortController();
    const first = await scope.arm(setup, { signal: cancelling.signal, deadline: 5 });
    cancelling.abort();
    await expect(first.finished).rejects.toMatchObject({ kind: 'cancelled' });
    const second = await scope.arm(setup, call());
    await scope.close();
    await scope.close();
    await expect(second.finished).rejects.toMatchObject({ kind: 'closed' });
    await expect(scope.arm(setup, call())).rejects.toMatchObject({ kind: 'closed' });
    await expect(scope.identify(call())).rejects.toMatchObject({ kind: 'closed' });
  });
});
