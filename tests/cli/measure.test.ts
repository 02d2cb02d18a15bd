import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import wavefile from 'wavefile';
import { register } from '../../harness/cli/measuring/measure.ts';
import { encodeNpy } from '../../harness/files/npy.ts';
import { metrics } from '../../harness/measure/metrics.ts';
import { deviates } from '../../harness/measure/signal/deviates.ts';
import { evenfall } from './program.ts';
import { runCommand } from './run-command.ts';

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'evenfall-measure-'));
});
afterAll(() => rm(folder, { recursive: true }));

async function put(name: string, content: string | Uint8Array): Promise<string> {
  const path = join(folder, name);
  await writeFile(path, content);
  return path;
}

const measure = (...args: string[]) => runCommand(register, args, { cwd: folder });

interface Shown {
  readonly metric: string;
  readonly of: string;
  readonly measured: boolean;
  readonly value: number;
  readonly unit: string;
  readonly expanded: number;
  readonly reason: string;
  readonly detail: string;
}
async function outcomes(...args: string[]): Promise<Shown[]> {
  const { stdout, stderr, exitCode } = await measure(...args, '--json');
  if (exitCode !== 0) throw new Error(stderr);
  return JSON.parse(stdout).outcomes;
}

/** Light with one tone: 100 lx, 30 % deep, 100 Hz, 10 kS/s, 2 s. Its modulation is 30 % by definition. */
const tone = Array.from(
  { length: 20_000 },
  (_, k) => 100 * (1 + 0.3 * Math.sin((2 * Math.PI * 100 * (k + 0.5)) / 10_000)),
);
const toneCsv = (header: string) =>
  `${header}\n${tone.map((value, k) => `${(k / 10_000).toFixed(4)},${value}`).join('\n')}\n`;

/** 100 % to 1 % in 2 s from 1 s on, straight in log light; 5 s at 1 kS/s. */
const fading = (at: number) => (at < 1 ? 1 : at > 3 ? 0.01 : 0.01 ** ((at - 1) / 2));
const fadeRows = (scales: readonly number[], delays: readonly number[]) =>
  Array.from({ length: 5000 }, (_, k) => {
    const at = (k + 0.5) / 1000;
    return [k / 1000, ...scales.map((scale, c) => scale * fading(at - delays[c]!))].join(',');
  });

describe('a limit on the command line', () => {
  const judged = async (...limit: string[]) => {
    const path = await put('judged.csv', toneCsv('time,light (lx)'));
    return measure(path, '--metric', 'modulation', ...limit);
  };

  it.each([
    [['--at-most', '40 %'], 0, 'allowed at most 40 %: ● pass'],
    [['--at-most', '20 %'], 1, 'allowed at most 20 %: ▲ fail'],
    [['--at-least', '40 %'], 1, 'allowed at least 40 %: ▲ fail'],
    [['--between', '29 %..31 %'], 0, 'allowed 29 % to 31 %: ● pass'],
  ])('%j judges as a criterion does, with exit code %i', async (limit, code, words) => {
    const { exitCode, stdout } = await judged(...limit);
    expect(stdout).toContain(words);
    expect(exitCode).toBe(code);
  });

  it('is inconclusive where U reaches over it, and a record that cannot show it is the bench’s', async () => {
    const unsure = await judged('--at-most', '30.001 %', '--calibration', 'offset=1lx');
    expect(unsure.stdout).toContain('◐ inconclusive');
    expect(unsure.exitCode).toBe(2);
    const path = await put('short.csv', 'time,light (lx)\n0,1\n0.1,1\n0.2,1\n');
    const none = await measure(path, '--metric', 'svm', '--at-most', '0.4');
    expect(none.stdout).toContain('✕ error');
    expect(none.exitCode).toBe(3);
  });
});

describe('of all metrics', () => {
  it('those that do not apply are one sentence with their number', async () => {
    const path = await put('all.csv', toneCsv('time,light (lx)'));
    const { stdout } = await measure(path);
    expect(stdout).toMatch(
      /\d+ metrics not applicable to this record: \d+ read what it does not hold/,
    );
    expect(stdout).not.toContain('a waveform file holds no');
  });
});

it('says that a window reaches beyond the record, and what is measured of it', async () => {
  const path = await put('beyond.csv', toneCsv('time,light (lx)'));
  const { stderr } = await measure(path, '--metric', 'modulation', '--during', '1 s..9 s');
  expect(stderr).toContain(
    '--during reaches beyond the record, which runs from 0 s to 2 s: only 1 s to 2 s is measured.',
  );
});

describe('evenfall measure', () => {
  it('prints the outcomes as JSON, in SI', async () => {
    const path = await put('tone.csv', toneCsv('time,light (lx)'));
    const [outcome, ...others] = await outcomes(path, '--metric', 'modulation');
    expect(others).toEqual([]);
    expect(outcome).toMatchObject({ metric: 'modulation', of: 'light', measured: true, unit: '1' });
    expect(outcome!.value).toBeCloseTo(0.3, 3);
  });

  it('computes every metric when asked for all, and says why where it cannot', async () => {
    const path = await put('tone.csv', toneCsv('time,light (lx)'));
    const all = await outcomes(path, '--metric', 'all');
    expect(new Set(all.map(({ metric }) => metric))).toEqual(new Set(metrics.map(({ id }) => id)));
    for (const outcome of all)
      if (outcome.measured) expect(Number.isFinite(outcome.value)).toBe(true);
      else expect(outcome.detail.length).toBeGreaterThan(5);
  });

  it('takes zero, noise and hum of a dark record off the lamp', async () => {
    const hum = (k: number) => 0.4 * Math.sin((2 * Math.PI * 50 * (k + 0.5)) / 10_000);
    const noise = deviates(40_000, 5, 0).map((value) => 0.05 * value);
    const dark = Float32Array.from({ length: 20_000 }, (_, k) => 5 + hum(k) + noise[k]!);
    const lit = Float32Array.from({ length: 20_000 }, (_, k) => 105 + hum(k) + noise[20_000 + k]!);
    const [darkPath, path] = [
      await put('dark.npy', encodeNpy(dark)),
      await put('lit.npy', encodeNpy(lit)),
    ];
    const all = [path, '--rate', '10 kS/s', '--unit', 'lx', '--metric', 'modulation'];
    const [alone] = await outcomes(...all);
    const [beside] = await outcomes(...all, '--dark', darkPath);
    // 0.4 lx of hum in 100 lx of steady light is the wiring's: with the dark record U says that there may be none.
    expect(beside!.value - beside!.expanded).toBeLessThanOrEqual(0);
    expect(beside!.expanded).toBeGreaterThan(0.003);
    // The zero of 5 lx has gone: 0.4 / 100, not 0.4 / 105.
    expect(beside!.value / alone!.value).toBeCloseTo(1.05, 2);
  });

  it('sees that numbers without codes are rounded all the same, and says so', async () => {
    // 3 % at 110 Hz in steps of 2 lx: SVM 0.113 by its formula, 0.0906 of what is left, which once was ± 0.0016.
    const rounded = Float64Array.from(
      { length: 60_000 },
      (_, k) => 2 * Math.round(50 * (1 + 0.03 * Math.sin((2 * Math.PI * 110 * k) / 20_000))),
    );
    const path = await put('rounded.npy', encodeNpy(Float32Array.from(rounded)));
    const all = [path, '--rate', '20 kS/s', '--unit', 'lx', '--calibration', 'offset=0'];
    const [svm] = await outcomes(...all, '--metric', 'svm');
    expect(svm!.value + svm!.expanded).toBeGreaterThan(0.113);
    const { stderr } = await measure(...all, '--metric', 'svm');
    expect(stderr).toMatch(/all values of "light" lie on steps of 2 lx/);
  });

  it('says what is wrong with a dark record', async () => {
    const path = await put('lit.npy', encodeNpy(Float32Array.from(tone)));
    const short = await put('short.npy', encodeNpy(new Float32Array(50)));
    const slow = await put('slow.csv', 'time,light (lx)\n0,0\n0.001,0\n0.002,0\n');
    const lit = await put('tone.csv', toneCsv('time,light (lx)'));
    const all = [path, '--rate', '10 kS/s', '--unit', 'lx', '--metric', 'modulation', '--dark'];
    expect((await measure(...all, short)).stderr).toMatch(/at least 100 samples, found 50/);
    const rated = await measure(lit, '--metric', 'modulation', '--dark', slow);
    expect(rated.stderr).toMatch(/rate of 10000 S\/s, found 1000 S\/s/);
    expect((await measure(...all, 'none.npy')).stderr).toMatch(/there is no such file/);
  });

  it('reads the same light from CSV, WAV and NPY', async () => {
    const wav = new wavefile.WaveFile();
    wav.fromScratch(
      1,
      10_000,
      '32f',
      tone.map((value) => value / 200),
    );
    const values: number[] = [];
    for (const args of [
      [await put('tone.csv', toneCsv('time,light'))],
      [await put('tone.wav', wav.toBuffer())],
      [await put('tone.npy', encodeNpy(Float64Array.from(tone))), '--rate', '10 kS/s'],
      [await put('bare.csv', tone.join('\n')), '--rate', '10000'],
    ])
      values.push((await outcomes(...args, '--metric', 'modulation'))[0]!.value);
    for (const value of values) expect(value).toBeCloseTo(values[0]!, 5);
  });

  it('takes every column for a subject and --of for the choice', async () => {
    const rows = tone.map((value, k) => `${k / 10_000},${value},${200 - value}`).join('\n');
    const path = await put('two.csv', `time,warm (lx),cool (lx)\n${rows}\n`);
    const both = await outcomes(path, '--metric', 'modulation');
    expect(both.map(({ of }) => of)).toEqual(['warm', 'cool']);
    const one = await outcomes(path, '--metric', 'modulation', '--of', 'cool');
    expect(one.map(({ of }) => of)).toEqual(['cool']);
    const alone = await outcomes(path, '--metric', 'modulation', '--column', 'cool');
    expect(alone.map(({ of, value }) => [of, value])).toEqual([['light', one[0]!.value]]);
  });

  it('measures a fade that it is told of, on the axis of the file', async () => {
    const path = await put('fade.csv', `time,warm (A)\n${fadeRows([0.5], [0]).join('\n')}\n`);
    const told = ['--from', '100 %', '--to', '1 %', '--over', '2 s', '--at', '1 s'];
    const [outcome] = await outcomes(path, '--metric', 'fade-duration', ...told);
    expect(outcome).toMatchObject({ measured: true, unit: 's' });
    expect(outcome!.value).toBeCloseTo(2, 2);
    const [untold] = await outcomes(path, '--metric', 'fade-duration');
    expect(untold).toMatchObject({ measured: false, reason: 'no-fade' });
    expect(untold!.detail).toMatch(/--from, --to, --over and --at/);
  });

  it('measures across the columns of a crossfade', async () => {
    const rows = fadeRows([0.5, 0.7], [0, 0.1]);
    const path = await put('cross.csv', `time,warm (A),cool (A)\n${rows.join('\n')}\n`);
    const told = ['--from', '100 %', '--to', '1 %', '--over', '2 s', '--at', '1 s'];
    const [outcome] = await outcomes(path, '--metric', 'arrival-spread', ...told);
    expect(outcome).toMatchObject({ of: 'lamp', measured: true });
    expect(outcome!.value).toBeCloseTo(0.1, 2);
  });

  it('holds a window against a reference window', async () => {
    // Whole numbers would be rounded to 1.
    const [high, low] = [400 + 2 ** -10, 40 + 2 ** -10];
    const rows = Array.from({ length: 4000 }, (_, k) => `${k / 1000},${k < 2000 ? high : low}`);
    const path = await put('steps.csv', `time,light (lx)\n${rows.join('\n')}\n`);
    const told = ['--reference', '0 s..1.9 s', '--during', '2.1 s..4 s'];
    const zero = ['--calibration', 'offset=0 lx'];
    const [outcome] = await outcomes(path, '--metric', 'level-ratio', ...told, ...zero);
    expect(outcome!.value).toBeCloseTo(low / high, 9);
    const [silent] = await outcomes(path, '--metric', 'level-ratio', ...told);
    expect(silent).toMatchObject({ measured: false, reason: 'no-zero' });
  });

  it('carries a stated calibration into the expanded uncertainty', async () => {
    const path = await put('tone.csv', toneCsv('time,light (lx)'));
    const told = ['--metric', 'modulation', '--calibration', 'offset=2 lx'];
    const [plain] = await outcomes(path, '--metric', 'modulation');
    const [stated] = await outcomes(path, ...told);
    // dM/dB = -M/B: 0.3 x 2 lx / 100 lx, twice.
    expect(Math.sqrt(stated!.expanded ** 2 - plain!.expanded ** 2)).toBeCloseTo(0.012, 4);
  });

  it('scales the unit of the header to SI', async () => {
    const rows = Array.from({ length: 4000 }, (_, k) => `${k},${k < 2000 ? 400 : 40}`);
    const path = await put('milli.csv', `time (ms),warm (mA)\n${rows.join('\n')}\n`);
    const windows = ['--reference', '0 s..1.9 s', '--during', '2.1 s..4 s'];
    const told = [...windows, '--calibration', 'offset=0 A'];
    const { stdout } = await measure(path, '--metric', 'level-ratio', ...told, '--json');
    expect(JSON.parse(stdout).outcomes[0].notes.mean).toBeCloseTo(0.04, 9);
  });

  it('prints a table with units for people', async () => {
    const path = await put('tone.csv', toneCsv('time,light (lx)'));
    const { stdout } = await measure(path, '--metric', 'modulation,dominant-frequency');
    expect(stdout).toMatch(/^modulation .* %$/m);
    expect(stdout).toMatch(/^dominant-frequency .* Hz( |$)/m);
  });

  it('draws the spectra of all columns in one picture, each line under its name', async () => {
    const rows = tone.map((value, k) => `${(k / 10_000).toFixed(4)},${value},${value / 2}`);
    const path = await put('two.csv', `time,warm (lx),cool (lx)\n${rows.join('\n')}\n`);
    await measure(path, '--metric', 'strongest-component', '--page', 'two.html');
    const page = await readFile(join(folder, 'two.html'), 'utf8');
    expect(page.match(/class="figure spectrum"/g)).toHaveLength(1);
    expect(page).toMatch(/<figcaption>[^<]*\(warm\); [^<]*\(cool\)<p>warm, cool/);
  });

  it('writes a page with the figures and the pictures that they came from', async () => {
    const path = await put('tone.csv', toneCsv('time,light (lx)'));
    const { stderr, exitCode } = await measure(path, '--page', 'out.html');
    expect({ exitCode, stderr }).toEqual({
      exitCode: 0,
      stderr: 'Page: out.html\n',
    });
    const page = await readFile(join(folder, 'out.html'), 'utf8');
    expect(page).toMatch(/<td>Modulation \(percent flicker\), light<\/td><td>29\.9/);
    const pictures = [...page.matchAll(/<svg class="chart".*?aria-label="([^"]*)"/g)];
    const words = pictures.map((match) => match[1]).join('\n');
    expect(words).toMatch(/over time/);
    expect(words).toMatch(/over frequency/);
    expect(page).not.toMatch(/<script|https?:\/\//);
  });

  it('draws a record that is flat but for rounding', async () => {
    const flat = Array.from({ length: 20_000 }, (_, k) => `${k / 10_000},${100 + 1e-12 * (k % 7)}`);
    const path = await put('flat.csv', `time,light (lx)\n${flat.join('\n')}\n`);
    expect(await measure(path, '--page', 'flat.html')).toMatchObject({ exitCode: 0 });
  });

  it('says so where the page cannot be written, with exit code 73', async () => {
    const path = await put('tone.csv', toneCsv('time,light (lx)'));
    const { stderr, exitCode } = await measure(path, '--page', 'no/such/folder/out.html');
    expect(exitCode).toBe(73);
    expect(stderr).toMatch(/--page: expected a file that can be written/);
  });

  it('lists each metric with unit, need, parameters and source', async () => {
    const { stdout, exitCode } = await measure('--list');
    expect(exitCode).toBe(0);
    for (const { id, source, parameters } of metrics) {
      const entry = stdout.split('\n\n').find((part) => part.startsWith(`${id} `));
      expect(entry).toMatch(/\n {2}unit {4}\S/);
      expect(entry).toMatch(/\n {2}needs {3}\S/);
      expect(entry).toContain(source);
      for (const { name } of parameters) expect(entry).toContain(`${name}=`);
    }
  });

  it.each([
    ['NaN among the samples', [...tone.slice(1), Number.NaN], 'not-finite'],
    ['light below zero', new Array(20_000).fill(-5), 'negative-light'],
  ])('gives no number for %s', async (_, samples, reason) => {
    const path = await put('bad.npy', encodeNpy(Float64Array.from(samples)));
    const all = await outcomes(path, '--rate', '10 kS/s', '--metric', 'modulation,flicker-index');
    for (const outcome of all) expect(outcome).toMatchObject({ measured: false, reason });
  });
});

describe('evenfall measure, with samples on the ends of the range', () => {
  /** A tone that reaches beyond int16, and what the converter makes of it. */
  const overloaded = (amplitude: number, top: number) =>
    Int16Array.from({ length: 20_000 }, (_, k) =>
      Math.min(top, 20_000 + amplitude * Math.sin((2 * Math.PI * 100 * (k + 0.5)) / 10_000)),
    );

  it('refuses a saturated NPY of integers as it refuses the WAV', async () => {
    const path = await put('loud.npy', encodeNpy(overloaded(14_000, 32_767)));
    const all = await outcomes(path, '--rate', '10 kS/s', '--metric', 'modulation,svm');
    for (const outcome of all)
      expect(outcome).toMatchObject({ measured: false, reason: 'saturated' });
    const sound = await put('sound.npy', encodeNpy(overloaded(12_000, 32_767)));
    const [good] = await outcomes(sound, '--rate', '10 kS/s', '--metric', 'modulation');
    expect(good).toMatchObject({ measured: true });
  });

  it('judges a window without clipped samples', async () => {
    const samples = overloaded(12_000, 32_767);
    samples.fill(32_767, 15_000, 15_100);
    const path = await put('partly.npy', encodeNpy(samples));
    const told = ['--rate', '10 kS/s', '--metric', 'modulation'];
    const [early] = await outcomes(path, ...told, '--during', '0 s..1 s');
    const [late] = await outcomes(path, ...told, '--during', '1 s..2 s');
    expect([early, late]).toMatchObject([{ measured: true }, { reason: 'saturated' }]);
  });

  it('takes darkness at code 0 of an unsigned type for light, not for an overload', async () => {
    const pwm = Array.from({ length: 20_000 }, (_, k) => (k % 100 < 50 ? 3000 : 0));
    const path = await put(
      'pwm.csv',
      `time,light\n${pwm.map((v, k) => `${k / 1e4},${v}`).join('\n')}\n`,
    );
    const told = ['--metric', 'modulation', '--range'];
    const [free] = await outcomes(path, ...told, '0..4095');
    const [full] = await outcomes(path, ...told, '0..3000');
    expect([free, full]).toMatchObject([{ measured: true }, { reason: 'saturated' }]);
    expect((await measure(path, ...told, '5')).stderr).toMatch(
      /expected the lowest and the highest/,
    );
  });

  it.each([
    ['9.9E+37', 'an overload'],
    ['-9.9E+37', 'an overload'],
    ['9.91E+37', 'not a number'],
  ])("refuses an instrument's mark %s in place of a sample", async (mark, meaning) => {
    const rows = tone.map((value, k) => `${k / 1e4},${k === 700 ? mark : value}`);
    const path = await put('over.csv', `time,light (lx)\n${rows.join('\n')}\n`);
    const { exitCode, stderr } = await measure(path, '--metric', 'modulation');
    expect(exitCode).toBe(65);
    expect(stderr).toMatch(new RegExp(`over.csv:702:2: .*mark for ${meaning}`));
    const marked = Float32Array.from(tone, (value, k) => (k === 700 ? Number(mark) : value));
    const single = await put('over.npy', encodeNpy(marked));
    const told = ['--rate', '10 kS/s', '--metric', 'modulation'];
    expect((await measure(single, ...told)).stderr).toMatch(`sample 701`);
  });

  it('names the suspicion where nobody states the range', async () => {
    const volts = Float64Array.from(overloaded(14_000, 30_000), (code) => code / 3e4);
    const path = await put('volts.npy', encodeNpy(volts));
    const told = ['--rate', '10 kS/s', '--metric', 'modulation'];
    expect((await measure(path, ...told)).stderr).toMatch(/looks clipped.*--range/s);
    const fine = await put('fine.npy', encodeNpy(Float64Array.from(tone)));
    expect((await measure(fine, ...told)).stderr).toBe('');
  });
});

describe('evenfall measure, of a current in an NPY', () => {
  it('finds the current by its unit, under any name', async () => {
    const current = Float64Array.from({ length: 20_000 }, (_, k) => 0.5 + 0.1 * Math.sin(k / 20));
    const path = await put('current.npy', encodeNpy(current));
    const told = ['--rate', '1 MS/s', '--unit', 'A', '--metric', 'mean-current'];
    const [named] = await outcomes(path, ...told, '--of', 'red');
    expect(named).toMatchObject({ of: 'red', measured: true, unit: 'A' });
    const [nameless] = await outcomes(path, ...told);
    expect(nameless).toMatchObject({ of: 'light', measured: true });
  });
});

describe('evenfall measure, of what has no uncertainty', () => {
  it('says so in words, in text, JSON and page', async () => {
    // Whole numbers would be rounded to 1.
    const [high, low] = [400 + 2 ** -10, 40 + 2 ** -10];
    const rows = Array.from({ length: 4000 }, (_, k) => `${k / 1000},${k < 2000 ? high : low}`);
    const path = await put('steps.csv', `time,warm (A)\n${rows.join('\n')}\n`);
    const told = ['--metric', 'mean-current', '--during', '0 s..1 s', '--page', 'bare.html'];
    const { stdout } = await measure(path, ...told);
    expect(stdout).toMatch(/\(no uncertainty assessed\)/);
    const page = await readFile(join(folder, 'bare.html'), 'utf8');
    expect(page).toMatch(/no uncertainty assessed/);
    const json = await measure(path, ...told, '--json');
    expect(JSON.parse(json.stdout).outcomes[0]).toMatchObject({
      expanded: 0,
      uncertainty: 'no uncertainty assessed',
    });
  });
});

describe('evenfall measure, with what it cannot use', () => {
  it.each([
    ['an unknown metric', ['tone.csv', '--metric', 'modulatoin'], /did you mean "modulation"/],
    ['an unknown column', ['tone.csv', '--column', 'lihgt'], /did you mean "light"/],
    ['an unknown unit', ['tone.csv', '--unit', 'furlong'], /"furlong"/],
    ['a rate in volts', ['tone.csv', '--rate', '3 V'], /a frequency in Hz.*a voltage/],
    ['a rate of nothing', ['tone.csv', '--rate', '0 Hz'], /above 0 Hz/],
    ['half a fade', ['tone.csv', '--from', '100 %'], /missing --to, --over, --at/],
    [
      'a fade off the record',
      [
        'tone.csv',
        '--metric',
        'fade-duration',
        '--from',
        '1',
        '--to',
        '10 %',
        '--over',
        '9 s',
        '--at',
        '0 s',
      ],
      /does not lie within the record/,
    ],
    ['a window backwards', ['tone.csv', '--during', '2 s..1 s'], /later instant last/],
    ['a window off the record', ['tone.csv', '--during', '7 s..8 s'], /runs from 0 s to 2 s/],
    [
      'an unknown parameter',
      ['tone.csv', '--metric', 'modulation', '--set', 'colour=red'],
      /"colour" is no parameter of modulation/,
    ],
    ['an unknown calibration', ['tone.csv', '--calibration', 'ofset=1'], /did you mean "offset"/],
    [
      'a subject that the file does not have',
      ['tone.csv', '--metric', 'modulation', '--of', 'wram'],
      /there is no column "wram".*the file has light alone/,
    ],
    ['a limit without a metric', ['tone.csv', '--at-most', '1 %'], /expected one metric to judge/],
    [
      'two limits',
      ['tone.csv', '--metric', 'modulation', '--at-most', '1 %', '--at-least', '0 %'],
      /give one of --at-most/,
    ],
    [
      'a limit in another unit',
      ['tone.csv', '--metric', 'modulation', '--at-most', '1 s'],
      /--at-most: expected a ratio/,
    ],
    [
      'limits the wrong way round',
      ['tone.csv', '--metric', 'modulation', '--between', '2 %..1 %'],
      /expected the higher limit last/,
    ],
    ['no file', [], /expected a file/],
    ['an unknown option', ['tone.csv', '--metrics', 'all'], /there is no option "--metrics"/],
  ])('refuses %s with exit code 64', async (_, args, words) => {
    await put('tone.csv', toneCsv('time,light (lx)'));
    const { exitCode, stderr, stdout } = await measure(...args);
    expect({ exitCode, stdout }).toEqual({ exitCode: 64, stdout: '' });
    expect(stderr).toMatch(words);
  });

  it.each([
    [
      'text in a CSV file',
      'text.csv',
      'time,light\n0,1\n1,dark\n',
      /text\.csv:3:2: expected a finite number, found "dark"/,
    ],
    [
      'a decimal comma',
      'comma.csv',
      'time;light\n0;1.5\n1;2,5\n',
      /comma\.csv:3:2: .*decimal comma of "2,5"/,
    ],
    ['a ragged row', 'ragged.csv', 'time,a,b\n0,1,2\n1,2\n', /ragged\.csv:3:3: expected 3 fields/],
    ['an empty file', 'empty.csv', '', /empty\.csv: expected .* found no bytes/],
    [
      'an NPY file without a rate',
      'a.npy',
      encodeNpy(Float32Array.of(1, 2)),
      /states no sampling rate/,
    ],
    [
      'a truncated NPY file',
      'b.npy',
      encodeNpy(Float32Array.of(1, 2)).subarray(0, 132),
      /truncated/,
    ],
    ['a WAV file of 0 samples', 'c.wav', emptyWav(), /0 samples/],
    ['other binary content', 'd.csv', Uint8Array.of(1, 0, 2, 0, 3), /other binary content/],
  ])('refuses %s with exit code 65, naming the place', async (_, name, content, words) => {
    const path = await put(name, content);
    const rate = name === 'b.npy' ? ['--rate', '1 kHz'] : [];
    const { exitCode, stderr, stdout } = await measure(path, ...rate);
    expect({ exitCode, stdout }).toEqual({ exitCode: 65, stdout: '' });
    expect(stderr).toMatch(words);
  });

  it('refuses a file that is not there, or is a folder, with exit code 66', async () => {
    const missing = await measure('nowhere.csv');
    expect(missing).toMatchObject({ exitCode: 66, stdout: '' });
    expect(missing.stderr).toMatch(/nowhere\.csv: .*no such file/);
    expect(await measure(folder)).toMatchObject({ exitCode: 66 });
  });
});

function emptyWav(): Uint8Array {
  const wav = new wavefile.WaveFile();
  wav.fromScratch(1, 10_000, '16', []);
  return wav.toBuffer();
}

describe('evenfall measure as a program', () => {
  const called = (...args: readonly string[]) => evenfall(['measure', ...args], { cwd: folder });

  it('keeps results on the standard output and ends with 0', async () => {
    const path = await put('tone.csv', toneCsv('time,light (lx)'));
    const { exitCode, stdout, stderr } = await called(path, '--metric', 'modulation', '--json');
    expect(exitCode, stderr).toBe(0);
    expect(JSON.parse(stdout).outcomes).toHaveLength(1);
    expect(stderr).toBe('');
  });

  it('ends with 65 and a sentence for a bad file', async () => {
    const path = await put('bad.csv', 'time,light\n0,1\n1,dark\n');
    const failure = await called(path);
    expect(failure).toMatchObject({ exitCode: 65, stdout: '' });
    expect(failure.stderr).toMatch(/^evenfall: .*bad\.csv:3:2: /);
    expect(failure.stderr).not.toMatch(/\n\s+at /);
  });
});
