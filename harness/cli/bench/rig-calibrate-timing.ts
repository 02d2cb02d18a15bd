import { readFile } from 'node:fs/promises';
import { resolve } from 'node:path';
import writeFileAtomic from 'write-file-atomic';
import { readFigure } from '../../files/read-figure.ts';
import { formatQuantity } from '../../units/format-quantity.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { calibrateTiming } from '../../workflow/rig/calibrate-timing.ts';
import { changeTiming } from '../../workflow/rig/change-timing.ts';
import { exitCodes } from '../common/exit-codes.ts';
import type { Io } from '../common/io.ts';
import { type RigOptions, readRigFiles } from './rig-options.ts';
import { rigUse } from './rig-use.ts';

export interface TimingOptions extends RigOptions {
  readonly link?: string;
  readonly edges?: string;
  readonly latency?: string;
}

/** `evenfall rig calibrate timing`: how late commands show in the records, written into the rig file. `date`: YYYY-MM-DD. */
export async function calibrateTimingOf(
  options: TimingOptions,
  date: string,
  io: Io,
): Promise<number> {
  const files = readRigFiles(options, io);
  const all = Object.keys(files.rig.links);
  const { link, edges = '100', latency = '0 s' } = options;
  if (link !== undefined && !all.includes(link))
    throw new Complaint(
      'usage',
      `--link: rig ${files.rig.rig} has no link ${link}; it has ${all.join(', ')}`,
    );
  if (!/^[1-9]\d{1,3}$/.test(edges))
    throw new Complaint('usage', `--edges: expected a number from 10 to 9999, found "${edges}"`);
  const read = readFigure(latency, 'time', { least: 0, most: 1 });
  if ('problem' in read) throw new Complaint('usage', `--latency: ${read.problem}`);
  io.stderr(
    'The light jumps about twice a second now: nobody who is sensitive to flashing light should look at it.\n',
  );
  const task = {
    ...{ links: link === undefined ? all : [link], edges: Number(edges) },
    ...{ latency: read.value, date },
  };
  const found = await calibrateTiming(files, task, rigUse(io, options.locks));
  const path = resolve(io.cwd, options.rig);
  await writeFileAtomic(path, changeTiming(await readFile(path, 'utf8'), found));
  for (const { link: own, delay, scatter, seen, edges: count } of found)
    io.stdout(
      `${own}: ${formatQuantity(delay, 'time', 'ms')} late, scatter ${formatQuantity(scatter, 'time', 'ms')} (k = 1), ${count} jumps by the ${seen === 'sync' ? 'sync pin' : 'light'}; written to ${options.rig}\n`,
    );
  return exitCodes.pass;
}
