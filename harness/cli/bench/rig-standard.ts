import { resolve } from 'node:path';
import { standardChart } from '../../record/standard-chart.ts';
import { standardWords } from '../../workflow/rig/check-standard.ts';
import {
  readStandards,
  type StandardEntry,
  seriesKeys,
  seriesOf,
  standardsFile,
} from '../../workflow/rig/standard-history.ts';
import { exitCodes } from '../common/exit-codes.ts';
import type { Io, Register } from '../common/io.ts';
import { textTable } from '../common/text-table.ts';
import { addRigOptions, type RigOptions, readRigFiles } from './rig-options.ts';

/** `evenfall rig standard`: the control chart of the check standards of a rig. Asks no instrument. */
export const register: Register = (command, io) => {
  addRigOptions(command)
    .description('show the control chart of the check standard')
    .action(async (options: RigOptions) => {
      io.exitCode = await showStandards(options, io);
    });
};

async function showStandards(options: RigOptions, io: Io): Promise<number> {
  const { rigFile } = readRigFiles(options, io);
  const path = resolve(io.cwd, rigFile.file);
  const entries = await readStandards(path);
  if (entries.length === 0) {
    io.stdout(
      `${standardsFile(rigFile.file)} has no measurement yet; name a check-standard in before: or after: of the rig file, and each run adds one\n`,
    );
    return exitCodes.pass;
  }
  const heads = headsOf(entries);
  const charts = heads.map((head) => chartText(entries, head));
  io.stdout(charts.join('\n'));
  return exitCodes.pass;
}

/** The last entry of each series, in the order of their beginnings. */
function headsOf(entries: readonly StandardEntry[]): readonly StandardEntry[] {
  const series = new Map<string, StandardEntry>();
  for (const entry of entries)
    series.set(JSON.stringify(seriesKeys.map((key) => entry[key])), entry);
  return [...series.values()];
}

function chartText(entries: readonly StandardEntry[], head: StandardEntry): string {
  const judged = standardChart(seriesOf(entries, head));
  const last = judged.at(-1);
  const rows = judged.map(({ at, value, limits, rule }) => [
    at.slice(0, 16).replace('T', ' '),
    String(Number(value.toPrecision(6))),
    limits ? ((value - limits.centre) / limits.deviation).toFixed(1) : '',
    limits ? stripe((value - limits.centre) / limits.action) : '',
    rule ?? (limits ? 'within' : 'learning'),
  ]);
  const headings = ['measured', head.unit, 's', '-3 s    mean    +3 s', 'rule'];
  const words = last ? `${standardWords(last, judged.length, head)}\n` : '';
  const when = head.when === 'after' ? ', after the last claim' : '';
  return `${head.standard}, ${head.signal} of ${head.of}${when}\n${textTable([headings, ...rows])}${words}`;
}

/** Width of half the stripe, characters. */
const half = 10;

/** A point between the limits of action; `>` or `<` beyond them. */
function stripe(share: number): string {
  const cells: string[] = Array.from({ length: 2 * half + 1 }, (_, index) =>
    index === half ? '|' : '.',
  );
  const place = Math.round(half * (1 + share));
  if (place < 0) cells[0] = '<';
  else if (place > 2 * half) cells[2 * half] = '>';
  else cells[place] = 'o';
  return cells.join('');
}
