import { mkdirSync, writeFileSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { Complaint } from '../../workflow/complaint.ts';
import type { Io, Register } from '../common/io.ts';
import { fileKinds, isFileKind } from './file-kinds.ts';
import { schemaLine } from './schema-line.ts';
import { starters } from './starters.ts';

/** `evenfall new spec|lamp|rig|policy NAME`: a commented file to begin with. Never overwrites one. */
export const register: Register = (command, io) => {
  command
    .argument('<kind>', fileKinds.join(', '))
    .argument('<name>', 'lower-case letters, digits, hyphens, e.g. mix-reaches-bottom')
    .option('--out <file>', 'output file (default: NAME.KIND.yaml in this folder); - for stdout')
    .action((kind: string, name: string, options: { out?: string }) =>
      write(kind, name, options, io),
    );
};

function write(kind: string, name: string, { out }: { readonly out?: string }, io: Io): void {
  if (!isFileKind(kind))
    throw new Complaint('usage', `expected ${fileKinds.join(', ')}, found ${kind}`);
  if (!/^[a-z][a-z0-9]*(-[a-z0-9]+)*$/.test(name)) {
    const expected = 'expected a name of lower-case letters, digits and single hyphens';
    throw new Complaint('usage', `${expected}, found "${name}"`);
  }
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
