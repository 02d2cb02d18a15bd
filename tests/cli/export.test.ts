import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { parquetReadObjects } from 'hyparquet';
import { describe, expect, it } from 'vitest';
import { register as exportRun } from '../../harness/cli/archive/export.ts';
import { readCsv } from '../../harness/files/csv.ts';
import { decodeWav } from '../../harness/files/wav.ts';
import { scratchFolders } from '../archive/scratch.ts';
import { sealedRun } from '../archive/signed-run.ts';
import {
  sampleCapture,
  sampleCondition,
  sampleFinding,
  sampleSpec,
} from '../record/sample-record.ts';
import { readVcd } from '../report/exchange/vcd-reader.ts';
import { runCommand } from './run-command.ts';

const scratch = scratchFolders();
/** Codes 1..4 with scale 0.25 and offset -1 lx. */
const light = [-0.75, -0.5, -0.25, 0];

async function stored(...args: string[]) {
  const root = scratch();
  const folder = await sealedRun(root);
  const ran = await runCommand(exportRun, [
    folder,
    ...args.map((arg) => arg.replace('ROOT', root)),
  ]);
  return { ...ran, root };
}

function parquet(file: string) {
  const { buffer } = Uint8Array.from(readFileSync(file));
  return parquetReadObjects({ file: buffer });
}

describe('evenfall export', () => {
  it('gives the findings as CSV, figures in SI units', async () => {
    const { stdout, exitCode } = await stored('--format', 'csv');
    expect(exitCode).toBe(0);
    expect(stdout).toBe(
      'run,started,lamp,build,spec,condition,repeat,metric,of,during,unit,value,expanded_uncertainty,lower_limit,upper_limit,target,not_measurable,verdict\r\n' +
        '3fa9c01b77de4a5c0b1d,2026-03-04T05:06:07.250Z,Alcove-6,1.4.2,fade-on-time,fade-time=2 s,0,fade-duration,warm,,s,2.01,0.02,1.9,2.1,2,,pass\r\n',
    );
  });

  it('keeps text from being run as a formula, and quotes what needs quotes', async () => {
    const findings = [sampleFinding({ of: '=1+2', during: 'a "b", c' })];
    const folder = await sealedRun(scratch(), {
      specs: [sampleSpec('a', [sampleCondition({ findings })])],
    });
    const { stdout } = await runCommand(exportRun, [folder, '--format', 'csv']);
    expect(stdout).toContain(`,'=1+2,"a ""b"", c",`);
  });

  it('gives the findings as Parquet that another reader understands', async () => {
    const { root } = await stored('--format', 'parquet', '--out', 'ROOT/f.parquet');
    const rows = await parquet(join(root, 'f.parquet'));
    expect(rows).toMatchObject([
      { spec: 'fade-on-time', repeat: 0, value: 2.01, lower_limit: 1.9, verdict: 'pass' },
    ]);
    expect(rows[0]!['not_measurable'] ?? null).toBeNull();
  });

  it('gives a capture as CSV that reads back as the same waveform', async () => {
    const { stdout } = await stored('--format', 'csv', '--capture', '0000-light.codes');
    const read = readCsv(stdout);
    expect(read.ok && read.value.columns.map(({ samples }) => [...samples])).toEqual([light]);
    expect(read.ok && read.value.rate).toBeCloseTo(20_000, 6);
  });

  it('gives a capture as WAV, full scale told beside it', async () => {
    const { root, stderr } = await stored('--format', 'wav', '--captures', '--out', 'ROOT/wav');
    const wav = decodeWav(readFileSync(join(root, 'wav/0000-light.wav')));
    expect(stderr).toContain('full scale 1.0 stands for 0.75 lx');
    expect(wav.ok && wav.value.rate).toBe(20_000);
    expect(wav.ok && [...wav.value.channels[0]!.samples].map((value) => value * 0.75)).toEqual(
      light.map((value) => expect.closeTo(value, 6)),
    );
  });

  it('gives a capture as Parquet with its times', async () => {
    const { root } = await stored(
      '--format',
      'parquet',
      '--capture',
      '0000-light',
      '--out',
      'ROOT/c.parquet',
    );
    expect(await parquet(join(root, 'c.parquet'))).toEqual(
      light.map((value, k) => ({ time_s: expect.closeTo(k * 5e-5, 12), light_lx: value })),
    );
  });

  it('finds a capture by its id, unless several conditions have one of that name', async () => {
    const { stdout } = await stored('--format', 'csv', '--capture', 'light');
    expect(readCsv(stdout).ok).toBe(true);
    const files = ['0001-light.codes', '0002-light.codes'];
    const conditions = files.map((file, index) =>
      sampleCondition({ key: `n=${index}`, captures: [sampleCapture({ file })] }),
    );
    const folder = await sealedRun(scratch(), { specs: [sampleSpec('a', conditions)] });
    const refused = await runCommand(exportRun, [folder, '--format', 'csv', '--capture', 'light']);
    expect(refused).toMatchObject({
      exitCode: 66,
      stderr: expect.stringContaining(
        `2 conditions have a capture light; name one by its file: ${files.join(', ')}`,
      ),
    });
  });

  it('refuses a rate that WAV cannot tell', async () => {
    const capture = sampleCapture({ rate: 1000.5 });
    const condition = sampleCondition({ captures: [capture] });
    const folder = await sealedRun(scratch(), { specs: [sampleSpec('a', [condition])] });
    const args = [
      folder,
      '--format',
      'wav',
      '--capture',
      capture.file,
      '--out',
      join(scratch(), 'x.wav'),
    ];
    const refused = await runCommand(exportRun, args);
    expect(refused.exitCode).toBe(65);
    expect(refused.stderr).toContain('whole numbers of samples per second only, found 1000.5');
  });

  it.each([
    [['--format', 'pdf'], 64, 'expected csv, wav, parquet'],
    [['--format', 'wav'], 64, 'wav needs --capture FILE or --captures'],
    [['--format', 'parquet'], 64, 'name a file with --out'],
    [['--format', 'csv', '--capture', '0001-light'], 66, 'did you mean "0000-light"?'],
    [['--format', 'csv', '--captures'], 64, '--out DIR'],
    [['--format', 'csv', '--out', '/proc/none'], 73, '/proc/none'],
  ])('refuses %j', async (args, exitCode, text) => {
    const refused = await stored(...args);
    expect(refused).toMatchObject({ exitCode, stderr: expect.stringContaining(text) });
  });
});

describe('evenfall export --format vcd', () => {
  it('gives every sample of a condition at its instant, as the capture has it', async () => {
    const { stdout, stderr, exitCode } = await stored('--format', 'vcd');
    expect(exitCode).toBe(0);
    expect(stderr).toContain('fade-on-time, fade time 2 s: 0.000000 s to 3.000000 s');
    const { variables, comments } = readVcd(stdout);
    const { changes = [] } = variables.get('light_lx') ?? {};
    expect(changes.map(({ value }) => Number(value))).toEqual(light);
    expect(changes.map(({ time }) => time)).toEqual([0, 50_000, 100_000, 150_000]);
    expect(variables.has('command')).toBe(true);
    expect(comments[0]).toContain('fade-on-time, fade time 2 s: pass');
  });

  it('shows the time that is asked for', async () => {
    const { stdout } = await stored('--format', 'vcd', '--from', '100 us', '--to', '1 ms');
    const { variables, end } = readVcd(stdout);
    expect(end).toBe(900_000);
    expect(variables.get('light_lx')?.changes.slice(0, 2)).toEqual([
      { time: 0, value: '-0.25' },
      { time: 50_000, value: '0' },
    ]);
  });

  it.each([
    [
      ['--format', 'vcd', '--claim', 'fades'],
      'expected one claim of the run, found "fades"; name one: fading/fade-on-time',
    ],
    [
      ['--format', 'vcd', '--condition', 'level=1 %'],
      'expected a condition of fade-on-time, found "level=1 %"; it has: "fade-time=2 s"',
    ],
    [
      ['--format', 'vcd', '--from', '2 s', '--to', '1 s'],
      '--to: expected an instant after 2.000000 s, found 1.000000 s',
    ],
    [['--format', 'vcd', '--from', 'now'], '--from: expected a time such as 20 ms'],
    [['--format', 'vcd', '--captures'], 'vcd holds all captures of a condition'],
    [['--format', 'csv', '--claim', 'a'], '--claim goes with --format vcd alone; omit it'],
  ])('answers %j with a sentence', async (args, says) => {
    const { stderr, exitCode } = await stored(...args);
    expect(stderr).toContain(says);
    expect(exitCode).not.toBe(0);
  });
});
