import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { RealClock } from '../../../drivers/real-clock.ts';
import { readProfile } from '../../../drivers/scpi/read-profile.ts';
import { ScpiDigitiser } from '../../../drivers/scpi/scpi-digitiser.ts';
import { endsWait, ScpiSession } from '../../../drivers/scpi/session.ts';
import { openBytePort } from '../../../drivers/transport/open-byte-port.ts';
import type { Call, Digitiser, RawCapture } from '../../../harness/bench/ports.ts';
import { type Answer, FakeInstrument } from './fake-instrument.ts';

const file = resolve('specs/rigs/tarn-o2.profile.yaml');
const shipped = readFileSync(file, 'utf8');
const call: Call = { signal: new AbortController().signal, deadline: 3 };
/** Samples that one answer of this instrument can hold; another profile than the shipped one says so. */
const most = 200;

/**
 * An oscilloscope: a status register whose bit 4 says that it measures, memory that is handed over in parts numbered
 * from 1, codes of 8 bit without sign. Its samples count upwards, so that a part out of place shows.
 */
function oscilloscope(change: (line: string) => Answer | undefined) {
  let [samples, complete, first, last, record] = [0, 0, 0, 0, 0];
  const status = (): number => (performance.now() < complete ? 1 + 16 + 256 : 1 + 256);
  return (line: string): Answer => {
    const own = change(line);
    if (own !== undefined) return own;
    const [, order = '', value = '', other = ''] =
      /^(\S+?)(?: ([\d.]+)(?:,(\d+))?)?$/.exec(line) ?? [];
    if (order === 'ACQ:POIN') samples = Number(value);
    if (order === 'MEM:PART') [first, last] = [Number(value), Number(other)];
    if (order === 'INIT') [complete, record] = [performance.now() + samples / 10, record + 1];
    const answers: Readonly<Record<string, () => Answer>> = {
      '*IDN?': () => 'Tarn,O2,1,1',
      'SYST:ERR?': () => '0,"No error"',
      'ACQ:RATE?': () => '10000',
      'STAT:OPER:COND?': () => String(status()),
      'MEM:TIME?': () => String(record),
      'MEM:FORM?': () => `${samples},1.0E-4,2.0E-2,5.0E-1,128`,
      'MEM:DATA?': () => {
        const data = Buffer.from(
          Array.from({ length: last - first + 1 }, (_, at) => (first - 1 + at) % 251),
        );
        const length = String(data.length);
        return Buffer.concat([Buffer.from(`#${length.length}${length}`), data, Buffer.from('\n')]);
      },
    };
    return answers[order]?.() ?? null;
  };
}

const opened: { instrument: Digitiser; fake: FakeInstrument }[] = [];
afterEach(async () => {
  for (const { instrument, fake } of opened.splice(0)) {
    await instrument.close();
    await fake.stop();
  }
});

async function open(change: (line: string) => Answer | undefined = () => undefined) {
  const fake = await FakeInstrument.start(oscilloscope(change));
  const read = readProfile(shipped.replace('most: 250000', `most: ${most}`), file);
  if ('issues' in read) throw new Error(read.issues.map(({ message }) => message).join('\n'));
  const { profile } = read;
  if (profile.kind !== 'digitiser') throw new Error(`expected a digitiser, found ${profile.kind}`);
  const address = { kind: 'tcp', host: '127.0.0.1', port: fake.port } as const;
  const session = new ScpiSession('scope', profile, (signal) =>
    openBytePort(address, 9600, signal),
  );
  const inputs = new Map([
    ['light', '1'],
    ['current', '2'],
  ]);
  const parts = { name: 'scope', session, profile, clock: new RealClock(), inputs };
  const instrument = new ScpiDigitiser(parts);
  opened.push({ instrument, fake });
  return { fake, instrument };
}

const setup = {
  inputs: [{ input: 'light', expectedPeak: 2.5 }, { input: 'current' }],
  rate: 1e4,
  duration: 0.05,
};

describe('an oscilloscope behind its profile', () => {
  it('hands over its record in pieces that are put together', async () => {
    const { fake, instrument } = await open();
    const [light, current] = (await (await instrument.arm(setup, call)).finished) as RawCapture[];
    expect(light!.codes).toEqual(Int16Array.from({ length: 500 }, (_, at) => at % 251));
    expect(current!.codes).toEqual(light!.codes);
    // By hand: 500 = 200 + 200 + 100, numbered from 1.
    const asked = fake.heard.filter((line) => /^MEM:PART|^MEM:DATA/.test(line)).slice(0, 6);
    expect(asked).toEqual([
      ...['MEM:PART 1,200', 'MEM:DATA? 1'],
      ...['MEM:PART 201,400', 'MEM:DATA? 1'],
      ...['MEM:PART 401,500', 'MEM:DATA? 1'],
    ]);
  });

  it('takes codes for volts by its preamble: the reference is the code of the origin', async () => {
    const { instrument } = await open();
    const [light] = (await (await instrument.arm(setup, call)).finished) as RawCapture[];
    // volts = (code - 128) * 0.02 + 0.5: 0.5 V for 128, -2.06 V for 0.
    expect(light!.scale).toBe(0.02);
    expect(128 * light!.scale + light!.offset).toBeCloseTo(0.5, 12);
    expect(light!.offset).toBeCloseTo(-2.06, 12);
    expect([light!.lowest, light!.highest]).toEqual([0, 255]);
  });

  it('is set to the range that is expected, else to the usual one', async () => {
    const { fake, instrument } = await open();
    await (await instrument.arm(setup, call)).finished;
    expect(fake.heard).toContain('INP1:RANG 2.5');
    expect(fake.heard).toContain('INP2:RANG 5');
  });

  it('waits for a bit of its status', async () => {
    const { instrument } = await open();
    const began = performance.now();
    await (await instrument.arm(setup, call)).finished;
    expect(performance.now() - began).toBeGreaterThanOrEqual(50);
  });

  it('waits no longer than its deadline where the bit never comes', async () => {
    const { instrument } = await open((line) => (line === 'STAT:OPER:COND?' ? '257' : undefined));
    await expect(instrument.arm(setup, { ...call, deadline: 0.3 })).rejects.toMatchObject({
      kind: 'timeout',
    });
  });

  it('never hands out a record with a piece that is too short', async () => {
    let pieces = 0;
    const { instrument } = await open((line) =>
      line.startsWith('MEM:DATA?') && ++pieces === 2
        ? Buffer.concat([Buffer.from('#3199'), Buffer.alloc(199), Buffer.from('\n')])
        : undefined,
    );
    const { finished } = await instrument.arm(setup, call);
    await expect(finished).rejects.toThrow(/with 199 bytes; expected 200/);
  });
});

describe('a status register', () => {
  it.each([
    ['16', 4, 1, true],
    ['+256', 8, 1, true],
    ['257', 4, 1, false],
    ['257', 4, 0, true],
    ['2147483648', 31, 1, true],
    ['RUN', 0, 0, false],
    ['', 0, 0, false],
    ['16.5', 4, 1, false],
  ] as const)('of %j ends a wait for bit %d = %d: %s', (answer, bit, value, ends) => {
    expect(endsWait({ bit, value }, answer)).toBe(ends);
  });
});

describe('pieces in a profile', () => {
  const told = (text: string): string => {
    const read = readProfile(text, 'x.profile.yaml');
    return 'issues' in read ? read.issues.map(({ message }) => message).join('\n') : 'nothing';
  };

  it('ship without issues', () => {
    expect(told(shipped)).toBe('nothing');
  });

  it('have to be asked for', () => {
    const blind = shipped.replace('["MEM:PART {first},{last}"]', '[]');
    expect(told(blind)).toMatch(/nothing says which piece is asked for/);
    expect(told(shipped.replace(/ {2}pieces: .*\n/, ''))).toBe('nothing');
    const places = shipped
      .replace(/ {2}pieces: .*\n/, '')
      .replace('DATA? {input}', 'DATA? {first}');
    expect(told(places)).toMatch(/how many samples \{first\}, \{last\} or \{count\} stand for/);
    const unknown = shipped.replace('{last}', '{lsat}');
    expect(told(unknown)).toMatch(/found \{lsat\}/);
  });
});
