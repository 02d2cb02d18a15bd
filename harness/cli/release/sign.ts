import { join, relative } from 'node:path';
import type { Command } from 'commander';
import { findRunFolder } from '../../archive/find-run-folder.ts';
import { readRun } from '../../archive/read-run.ts';
import { withArchive } from '../common/complaints.ts';
import type { Io } from '../common/io.ts';
import {
  addDecisionOptions,
  type DecisionOptions,
  readDecision,
  signAsked,
} from './decision-options.ts';

interface Options extends DecisionOptions {
  readonly reports: string;
  readonly ledger?: string;
  readonly json?: boolean;
}

/** `evenfall sign RUN`: a person's decision on a stored run, bound to every byte of it. */
export function register(command: Command, io: Io): void {
  addDecisionOptions(command.argument('<run>', 'a folder, an id, or latest'))
    .option('--ledger <file>', 'ledger of decisions (default: decisions.ndjson in the archive)')
    .option('--reports <dir>', 'the archive', 'reports')
    .option('--json', 'print the result as JSON')
    .action((run: string, options: Options) => withArchive(() => signOne(run, options, io)));
}

async function signOne(run: string, options: Options, io: Io): Promise<void> {
  const asked = readDecision(options);
  const folder = await findRunFolder(options.reports, run);
  const { record } = await readRun(folder, { curves: false });
  const { ledger } = options;
  const { file, key, signedAt } = await signAsked({ folder, record }, { ...asked, ledger }, io);
  const path = relative(io.cwd, join(folder, file));
  if (options.json) {
    const { decision } = asked;
    const result = { version: 1, run: record.id, file: path, decision, key, signedAt };
    io.stdout(`${JSON.stringify(result, null, 2)}\n`);
  } else io.stdout(`${path}\n`);
}
