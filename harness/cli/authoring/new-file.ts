import { mkdirSync, writeFileSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import type { Command } from 'commander';
import { Complaint } from '../../workflow/complaint.ts';
import type { Io } from '../common/io.ts';
import type { FileKind } from './file-kinds.ts';
import { schemaLine } from './schema-line.ts';
import { starterName } from './starter-name.ts';
import { starters } from './starters.ts';

/** `evenfall new KIND NAME`: a commented file to begin with. Never overwrites one. */
export function registerFile(command: Command, kind: FileKind, io: Io): void {
  command
    .description(`write a commented ${kind} file to begin with`)
    .argument('<name>', 'lower-case letters, digits, hyphens, e.g. mix-reaches-bottom', starterName)
    .option('--out <file>', `output file (default: NAME.${kind}.yaml in this folder); - for stdout`)
    .action((name: string, options: { out?: string }) => write(kind, name, options, io));
}

function write(kind: FileKind, name: string, { out }: { readonly out?: string }, io: Io): void {
  const own = starters[kind].replace(/\bNAME\b/, name);
  if (out === '-') {
    io.stdout(schemaLine(kind, io.cwd) + own);
    return;
  }
  const file = out ?? `${name}.${kind}.yaml`;
  const text = schemaLine(kind, dirname(resolve(io.cwd, file))) + own;
  if (!file.endsWith(`.${kind}.yaml`))
    throw new Complaint('usage', `expected a file name that ends in .${kind}.yaml, found ${file}`);
  store(resolve(io.cwd, file), text, file);
  const next = kind === 'spec' ? `evenfall explain ${file}` : `evenfall check ${file}`;
  io.stdout(`${file} written; next: ${next}\n`);
}

function store(path: string, text: string, file: string): void {
  try {
    mkdirSync(dirname(path), { recursive: true });
    writeFileSync(path, text, { flag: 'wx' });
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    const why =
      code === 'EEXIST' ? 'it already exists and is unchanged' : `it cannot be written (${code})`;
    throw new Complaint('cannot-create', `${file}: ${why}; choose another with --out`, {
      cause: error,
    });
  }
}
