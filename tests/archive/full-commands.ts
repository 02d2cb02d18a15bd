import {
  closeSync,
  fstatSync,
  ftruncateSync,
  openSync,
  readdirSync,
  rmSync,
  statSync,
  writeSync,
} from 'node:fs';
import { join } from 'node:path';
import { ledgerOf } from '../../harness/archive/ledger.ts';
import { createRunFolder } from '../../harness/archive/run-folder.ts';
import { verifyAgainstLedger } from '../../harness/archive/verify-against-ledger.ts';
import { register as exportRun } from '../../harness/cli/archive/export.ts';
import { register as report } from '../../harness/cli/archive/report.ts';
import type { Io, Register } from '../../harness/cli/common/io.ts';
import { register as keys } from '../../harness/cli/release/keys.ts';
import { register as sign } from '../../harness/cli/release/sign.ts';
import { loadPublicKey } from '../../harness/workflow/signing/read-keys.ts';
import { runCommand } from '../cli/run-command.ts';
import { headerOf, sampleRecord, sampleSpec } from '../record/sample-record.ts';
import { passphrase, sealedRun } from './signed-run.ts';

/**
 * Tries one command on a small disk that is full, and then has a page more of room each time, until the command succeeds. Prints
 * what it did each time: its exit code, its words, and which files came and went.
 */
const [root = '', what = ''] = process.argv.slice(2);
const archive = join(root, 'reports');
const out = join(root, 'out');
const page = 4096;
const key = join(root, 'mira.pem');
const env = { EVENFALL_PASSPHRASE: passphrase, EVENFALL_NEW_PASSPHRASE: 'kettle orbit maple' };
const call = (command: Register, args: readonly string[], over: Partial<Io> = {}) =>
  runCommand(command, args, { env, ...over });

const folder = await sealedRun(archive);
await call(keys, ['new', '--out', key]);
const decision = ['--key', key, '--as', 'Mira', '--meaning', 'x', '--decision', 'release'];
const tries: Readonly<Record<string, () => Promise<{ exitCode: number; stderr: string }>>> = {
  report: () => call(report, [folder, '--format', 'html', '--out', out]),
  export: () => call(exportRun, [folder, '--captures', '--format', 'csv', '--out', out]),
  'keys new': () => call(keys, ['new', '--out', join(root, 'otto.pem')]),
  'keys passphrase': () => call(keys, ['passphrase', key]),
  sign: () => call(sign, [folder, ...decision]),
  run: async () => {
    const record = headerOf(sampleRecord({ id: 'aaaa0123bbbb', specs: [sampleSpec('a', [])] }));
    try {
      await (await createRunFolder(archive, record)).close();
      return { exitCode: 0, stderr: '' };
    } catch (error) {
      return { exitCode: 73, stderr: (error as Error).message };
    }
  },
};

/** Files below the disk but the ballast, with their sizes. */
function files(): string[] {
  return readdirSync(root, { recursive: true, encoding: 'utf8' })
    .filter((file) => file !== 'ballast')
    .map((file) => {
      const found = statSync(join(root, file));
      return found.isFile() ? `${file} ${found.size}` : `${file}/`;
    })
    .sort();
}

const ballast = openSync(join(root, 'ballast'), 'w');
const block = new Uint8Array(page);
function leave(pages: number): void {
  let size = fstatSync(ballast).size;
  try {
    for (;;) size += writeSync(ballast, block, 0, page, size);
  } catch {
    // Full.
  }
  ftruncateSync(ballast, Math.max(0, Math.floor(size / page) - pages) * page);
}

const before = files();
const failures: unknown[] = [];
for (let pages = 0; ; pages = Math.max(pages + 1, Math.floor(pages * 1.5))) {
  leave(pages);
  const { exitCode, stderr } = await tries[what]!();
  const after = files();
  if (exitCode === 0) break;
  const came = after.filter((file) => !before.includes(file));
  const went = before.filter((file) => !after.includes(file));
  failures.push({ pages, exitCode, stderr, came, went });
  if (failures.length > 40) break;
}
closeSync(ballast);
rmSync(join(root, 'ballast'));
const trusted = [await loadPublicKey(join(root, 'mira.pub.pem'))];
const verified = await verifyAgainstLedger(folder, trusted, { ledger: ledgerOf(archive) });
const came = files().filter((file) => !before.includes(file));
const { decision: decided, problems } = verified;
process.stdout.write(JSON.stringify({ failures, came, decided, problems }));
