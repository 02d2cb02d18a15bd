import { join, relative } from 'node:path';
import type { Command } from 'commander';
import { findRunFolder } from '../../archive/find-run-folder.ts';
import { readRun } from '../../archive/read-run.ts';
import { type Decision, decisions } from '../../archive/statement.ts';
import { plainLine } from '../../files/plain-text.ts';
import { artificialTexts } from '../../record/artificial.ts';
import { shortId } from '../../record/ids.ts';
import type { RunRecord } from '../../record/run-record.ts';
import { verdictMark } from '../../report/words/verdict-words.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { readKeyFile } from '../../workflow/signing/read-keys.ts';
import { mustBeSayable, signOff } from '../../workflow/signing/sign-off.ts';
import { withArchive } from '../common/complaints.ts';
import type { Io } from '../common/io.ts';
import { repeatedOption } from '../common/options.ts';
import { askPassphrase } from './ask-passphrase.ts';

interface Options {
  readonly reports: string;
  readonly key: string;
  readonly as: string;
  readonly meaning: string;
  readonly decision: string;
  readonly waive: readonly string[];
  readonly reason: readonly string[];
  readonly policy?: string;
  readonly ledger?: string;
  readonly unencryptedKey?: boolean;
  readonly json?: boolean;
}

/** `evenfall sign RUN`: a person's decision on a stored run, bound to every byte of it. */
export function register(command: Command, io: Io): void {
  command
    .argument('<run>', 'a folder, an id, or latest')
    .requiredOption('--key <file>', 'the private key, made by evenfall keys new')
    .requiredOption('--as <name>', 'name of the signer, as printed on the report')
    .requiredOption(
      '--meaning <text>',
      'what the signature means: review, approval, responsibility',
    )
    .requiredOption('--decision <decision>', decisions.join(', '))
    .addOption(
      repeatedOption(
        '--waive <claim>',
        'waive a claim that did not pass; needs --reason; repeatable',
      ),
    )
    .addOption(
      repeatedOption(
        '--reason <text>',
        'reason for a waiver, in the order of the waivers; repeatable',
      ),
    )
    .option('--unencrypted-key', 'sign with a private key that no passphrase protects')
    .option('--policy <file>', 'policy: who may decide on what')
    .option('--ledger <file>', 'ledger of decisions (default: decisions.ndjson in the archive)')
    .option('--reports <dir>', 'the archive', 'reports')
    .option('--json', 'print the result as JSON')
    .action((run: string, options: Options) => withArchive(() => signOne(run, options, io)));
}

async function signOne(run: string, options: Options, io: Io): Promise<void> {
  const decision = decisionOf(options.decision);
  const waivers = waiversOf(options);
  const { as: name, meaning } = options;
  mustBeSayable({ name, meaning });
  const folder = await findRunFolder(options.reports, run);
  const { record } = await readRun(folder, { curves: false });
  io.stderr(`${aboutRun(record)}\n`);
  const { key: keyFile, unencryptedKey, policy, ledger } = options;
  const { protection } = await readKeyFile(keyFile, { unencrypted: unencryptedKey });
  const passphrase = protection.encrypted
    ? await askPassphrase(io, `Passphrase of ${keyFile}`)
    : '';
  const request = {
    keyFile,
    passphrase,
    unencryptedKey,
    name,
    meaning,
    decision,
    waivers,
    policy,
    ledger,
  };
  const { file, key, signedAt, keyNote } = await signOff(folder, record, request);
  if (keyNote) io.stderr(`evenfall: note: ${keyNote}\n`);
  const path = relative(io.cwd, join(folder, file));
  if (options.json) {
    const result = { version: 1, run: record.id, file: path, decision, key, signedAt };
    io.stdout(`${JSON.stringify(result, null, 2)}\n`);
  } else io.stdout(`${path}\n`);
}

function decisionOf(text: string): Decision {
  const found = decisions.find((decision) => decision === text);
  if (found) return found;
  const sentence = `--decision: expected ${decisions.join(', ')}, found ${JSON.stringify(text)}`;
  throw new Complaint('usage', sentence);
}

function waiversOf({ waive, reason }: Options): { claim: string; reason: string }[] {
  if (waive.length !== reason.length) {
    const sentence = `every --waive needs its own --reason: found ${waive.length} and ${reason.length}`;
    throw new Complaint('usage', sentence);
  }
  return waive.map((claim, index) => ({ claim, reason: reason[index] ?? '' }));
}

function aboutRun(record: RunRecord): string {
  const { id, lamp, rig, verdict, totals, startedAt } = record;
  const passed = totals.claims['pass'] ?? 0;
  const all = Object.values(totals.claims).reduce((sum, count) => sum + count, 0);
  const artificial = artificialTexts(record)
    .map((text) => `; ${text}`)
    .join('');
  return plainLine(
    `Run ${shortId(id)} of ${startedAt}: ${lamp.name}, build ${lamp.build}, on ${rig.name}: ${verdictMark[verdict]} ${verdict}, ${passed} of ${all} claims pass${artificial}`,
  );
}
