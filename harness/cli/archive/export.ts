import { mkdir } from 'node:fs/promises';
import { basename, join } from 'node:path';
import type { Command } from 'commander';
import { readCapture, samplesOf } from '../../archive/capture-file.ts';
import { findRunFolder } from '../../archive/find-run-folder.ts';
import { didYouMean } from '../../files/did-you-mean.ts';
import { encodeNpy } from '../../files/npy.ts';
import { isStored, leftAwayText } from '../../record/kept-captures.ts';
import type { CaptureRecord, RunRecord } from '../../record/run-record.ts';
import {
  type ExportedCapture,
  renderCaptureCsv,
  renderCaptureParquet,
  renderCaptureWav,
} from '../../report/exchange/capture-export.ts';
import { renderFindingsCsv, renderFindingsParquet } from '../../report/exchange/findings.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { readCheckedRun } from '../common/checked-run.ts';
import { withArchive } from '../common/complaints.ts';
import type { Io } from '../common/io.ts';
import { writeOut } from '../common/write-out.ts';
import { conditionVcd, type VcdOptions } from './export-vcd.ts';

const formats = ['csv', 'wav', 'parquet', 'npy', 'vcd'] as const;
/** Of findings and of single captures. */
type Format = Exclude<(typeof formats)[number], 'vcd'>;

interface Options extends VcdOptions {
  readonly format: string;
  readonly capture?: string;
  readonly captures?: boolean;
  readonly out?: string;
  readonly reports: string;
}

/** `evenfall export RUN`: findings or captures for other programs. */
export function register(command: Command, io: Io): void {
  command
    .argument('<run>', 'a folder, an id, or latest')
    .requiredOption('--format <format>', formats.join(', '))
    .option(
      '--capture <name>',
      'export one capture, by its file or its id, instead of the findings',
    )
    .option('--captures', 'every capture, into the folder of --out')
    .option('--claim <name>', 'vcd: the claim, where the run has several')
    .option('--condition <key>', 'vcd: its condition (default: that of its worst finding)')
    .option('--from <time>', 'vcd: where the time begins, on the time line of the condition')
    .option('--to <time>', 'vcd: where it ends')
    .option(
      '--out <path>',
      'output file, or folder with --captures; without it, csv goes to stdout',
    )
    .option('--reports <dir>', 'the archive', 'reports')
    .action((run: string, options: Options) => withArchive(() => exportRun(run, options, io)));
}

async function exportRun(run: string, options: Options, io: Io): Promise<void> {
  const format = formats.find((known) => known === options.format);
  if (!format) {
    const sentence = `--format: expected ${formats.join(', ')}, found ${JSON.stringify(options.format)}`;
    throw new Complaint('usage', sentence);
  }
  const folder = await findRunFolder(options.reports, run);
  const { record } = await readCheckedRun(folder, io, { curves: format === 'vcd' });
  if (format === 'vcd') return put(await exportedVcd(record, folder, options, io), options.out, io);
  refuseVcdOptions(options);
  const all = capturesOf(record);
  refuseLeftAway(options.capture, all);
  const captures = all.filter(isStored);
  if (options.captures && captures.length < all.length)
    io.stderr(`without ${leftAwayText(record)}, which the run did not keep\n`);
  const names = captures.map(({ file }) => file);
  if (options.captures) await exportAll(folder, names, format, options.out, io);
  else if (options.capture) {
    await exportOne(folder, fileOf(options.capture, captures), format, options.out, io);
  } else await exportFindings(record, format, options.out, io);
}

function exportedVcd(record: RunRecord, folder: string, options: Options, io: Io): Promise<string> {
  if (options.capture !== undefined || options.captures)
    throw new Complaint(
      'usage',
      'vcd holds all captures of a condition: omit --capture and --captures, or choose another format',
    );
  return conditionVcd(record, folder, options, io);
}

function refuseVcdOptions({ claim, condition, from, to }: VcdOptions): void {
  const given = Object.entries({ claim, condition, from, to }).filter(([, text]) => text);
  const [[name] = []] = given;
  if (name !== undefined)
    throw new Complaint('usage', `--${name} goes with --format vcd alone; omit it`);
}

function capturesOf({ specs }: RunRecord): readonly CaptureRecord[] {
  return specs.flatMap(({ conditions }) => conditions.flatMap(({ captures }) => captures));
}

function refuseLeftAway(name: string | undefined, captures: readonly CaptureRecord[]): void {
  const left = captures.find(
    (one) => !isStored(one) && (one.id === name || one.file === name || stemOf(one.file) === name),
  );
  if (!left) return;
  const text = `the run did not keep the samples of ${left.file}: they were judged, and left away (run --captures)`;
  throw new Complaint('no-input', text);
}

/** A capture by the name of its file, or by its id where only one condition has such a capture. */
function fileOf(name: string, captures: readonly CaptureRecord[]): string {
  const stem = stemOf(basename(name));
  const names = captures.map((capture) => capture.file);
  const file = names.find((known) => stemOf(known) === stem);
  if (file !== undefined) return file;
  const [own, ...others] = captures.filter(({ id }) => id === name).map((capture) => capture.file);
  if (own !== undefined && others.length === 0) return own;
  const sentence = own
    ? `${others.length + 1} conditions have a capture ${name}; name one by its file: ${[own, ...others].slice(0, mostNamed).join(', ')}`
    : `expected one of the run's ${names.length} captures, found ${JSON.stringify(name)}${didYouMean(stem, names.map(stemOf))}`;
  throw new Complaint('no-input', sentence);
}

/** A capture's name without the ending that says how it is stored. */
function stemOf(file: string): string {
  return file.replace(/\.(codes|npy)$/, '');
}

/** Files that a message names at most. */
const mostNamed = 5;

async function exportFindings(
  record: RunRecord,
  format: Format,
  out: string | undefined,
  io: Io,
): Promise<void> {
  if (format === 'wav' || format === 'npy') {
    const sentence = `findings have no samples: ${format} needs --capture FILE or --captures`;
    throw new Complaint('usage', sentence);
  }
  if (format === 'csv') await put(renderFindingsCsv(record), out, io);
  else await put(renderFindingsParquet(record), out, io);
}

async function exportAll(
  folder: string,
  names: readonly string[],
  format: Format,
  out: string | undefined,
  io: Io,
): Promise<void> {
  if (out === undefined) {
    throw new Complaint('usage', '--captures needs a folder to write to: --out DIR');
  }
  await mkdir(out, { recursive: true }).catch((error: Error) => {
    throw cannotWrite(out, error);
  });
  for (const name of names) {
    await exportOne(folder, name, format, join(out, `${stemOf(name)}.${format}`), io);
  }
}

async function exportOne(
  folder: string,
  name: string,
  format: Format,
  out: string | undefined,
  io: Io,
): Promise<void> {
  const capture = await loadCapture(folder, name);
  if (format === 'csv') return put(renderCaptureCsv(capture), out, io);
  if (format === 'parquet') return put(renderCaptureParquet(capture), out, io);
  if (format === 'npy') return put(encodeNpy(capture.samples), out, io);
  const wav = renderCaptureWav(capture);
  if (!wav) {
    const sentence = `${name}: wav holds whole numbers of samples per second only, found ${1 / capture.interval}; export csv, parquet or npy`;
    throw new Complaint('bad-file', sentence);
  }
  await put(wav.bytes, out, io);
  io.stderr(`${name}: full scale 1.0 stands for ${wav.fullScale} ${capture.unit}\n`);
}

async function loadCapture(folder: string, name: string): Promise<ExportedCapture> {
  const capture = await readCapture(folder, name);
  const { dt_s, t0_s, unit, signal } = capture;
  return { samples: samplesOf(capture), interval: dt_s, start: t0_s, unit, signal };
}

/** Text may go to stdout; bytes need a file. */
async function put(content: string | Uint8Array, out: string | undefined, io: Io): Promise<void> {
  if (out === undefined) {
    if (typeof content === 'string') return io.stdout(content);
    throw new Complaint('usage', 'this format is not text: name a file with --out');
  }
  await writeOut(out, content);
  io.stderr(`${out}\n`);
}

function cannotWrite(out: string, error: Error): Complaint {
  const sentence = `--out: expected a place that can be written to, found ${out} (${error.message})`;
  return new Complaint('cannot-create', sentence, { cause: error });
}
