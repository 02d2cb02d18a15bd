import { join } from 'node:path';
import { deflateSync, inflateSync } from 'node:zlib';
import * as z from 'zod';
import { type Curves, curvesSchema } from '../record/curves.ts';
import { ArchiveError, fileSystemError } from './archive-error.ts';
import { FigureTable, readFigureTable } from './figure-table.ts';
import { readPlainFile } from './plain-file.ts';

/** Charts and commanded light of a sealed run; in earlier versions `run.json` has them. */
export const curvesFile = 'curves.bin';

const headSchema = z.strictObject({
  format: z.literal('evenfall-curves'),
  version: z.literal(1),
  /** Id of the run. */
  run: z.string(),
  /** Bytes of the two deflated parts that follow: JSON with places in a table instead of numbers, and the table. */
  parts: z.tuple([z.number().int().nonnegative(), z.number().int().nonnegative()]),
});

type Commanded = NonNullable<Curves[number]['commanded']>[number];
type Chart = Curves[number]['charts'][number][number];

const place = z.number().int().nonnegative();
const outlineSchema = z.array(
  z.strictObject({
    /** A column each of the four numbers of a segment; the last is absent where it equals the third. */
    commanded: z
      .array(z.strictObject({ channel: z.string(), columns: z.array(place).min(3).max(4) }))
      .optional(),
    charts: z.array(
      z.array(z.looseObject({ lines: z.array(z.looseObject({ x: place, y: place })) })),
    ),
  }),
);
type Outline = z.infer<typeof outlineSchema>;

export function encodeCurves(run: string, curves: Curves): Uint8Array {
  const table = new FigureTable();
  const outline: Outline = curves.map(({ commanded, charts }) => ({
    ...(commanded && { commanded: commanded.map((one) => outlineOfChannel(one, table)) }),
    charts: charts.map((own) => own.map((chart) => outlineOfChart(chart, table))),
  }));
  const parts = [deflateSync(JSON.stringify(outline)), deflateSync(table.bytes)] as const;
  const lengths = parts.map(({ length }) => length);
  const head = { format: 'evenfall-curves', version: 1, run, parts: lengths };
  return Buffer.concat([Buffer.from(`${JSON.stringify(head)}\n`), ...parts]);
}

function outlineOfChannel({ channel, segments }: Commanded, table: FigureTable) {
  const column = (k: 0 | 1 | 2 | 3) => table.add(segments.map((segment) => segment[k]));
  const [from, to, begins, ends] = [column(0), column(1), column(2), column(3)];
  return { channel, columns: begins === ends ? [from, to, begins] : [from, to, begins, ends] };
}

function outlineOfChart(chart: Chart, table: FigureTable) {
  const lines = chart.lines.map((line) => ({
    ...line,
    x: table.add(line.x),
    y: table.add(line.y),
  }));
  return { ...chart, lines };
}

/** The curves of a run's folder; null where it has none apart. Throws `damaged` where they cannot be read, or are of another run. */
export async function readCurvesFile(folder: string, run: string): Promise<Curves | null> {
  const path = join(folder, curvesFile);
  let bytes: Buffer;
  try {
    bytes = await readPlainFile(path);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return null;
    throw fileSystemError(error, `reading ${path}`);
  }
  try {
    return decodeCurves(bytes, run);
  } catch (error) {
    const why = error instanceof z.ZodError ? z.prettifyError(error) : (error as Error).message;
    throw new ArchiveError('damaged', `${path} cannot be read: ${why}`, { cause: error });
  }
}

/** More is in no run: what is damaged must not fill the memory. */
const mostBytes = 2 ** 30;

/** Throws an Error that says what is wrong. */
function decodeCurves(bytes: Uint8Array, run: string): Curves {
  const end = Math.max(bytes.indexOf(lineEnd), 0);
  const head = headSchema.parse(JSON.parse(Buffer.from(bytes.subarray(0, end)).toString('utf8')));
  if (head.run !== run) throw new Error(`it is of the run ${head.run}`);
  const [first, second] = head.parts;
  const rest = bytes.subarray(end + 1);
  if (rest.length !== first + second)
    throw new Error(`its head promises ${first + second} bytes, ${rest.length} follow it`);
  const inflate = (part: Uint8Array) => inflateSync(part, { maxOutputLength: mostBytes });
  const outline = outlineSchema.parse(
    JSON.parse(inflate(rest.subarray(0, first)).toString('utf8')),
  );
  const table = readFigureTable(inflate(rest.subarray(first)));
  return curvesSchema.parse(
    outline.map(({ commanded, charts }) => ({
      ...(commanded && { commanded: commanded.map((one) => channelOf(one, table)) }),
      charts: charts.map((own) => own.map((chart) => chartOf(chart, table))),
    })),
  );
}

const lineEnd = 10;

type Table = readonly number[][];

function channelOf(
  { channel, columns }: NonNullable<Outline[number]['commanded']>[number],
  table: Table,
): unknown {
  const [from = [], to, begins, ends = begins] = columns.map((place) => figuresAt(table, place));
  const segments = from.map((start, k) => [start, to?.[k], begins?.[k], ends?.[k]]);
  return { channel, segments };
}

function chartOf(chart: Outline[number]['charts'][number][number], table: Table): unknown {
  const lines = chart.lines.map((line) => ({
    ...line,
    x: figuresAt(table, line.x),
    y: figuresAt(table, line.y),
  }));
  return { ...chart, lines };
}

function figuresAt(table: Table, place: number): number[] {
  const figures = table[place];
  if (figures) return figures;
  throw new Error(`it has ${table.length} rows of figures, and asks for row ${place}`);
}
