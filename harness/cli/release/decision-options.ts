import type { Command } from 'commander';
import { type Decision, decisions } from '../../archive/statement.ts';
import { plainLine } from '../../files/plain-text.ts';
import { artificialTexts } from '../../record/artificial.ts';
import { shortId } from '../../record/ids.ts';
import type { RunRecord } from '../../record/run-record.ts';
import { verdictMark } from '../../report/words/verdict-words.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { readKeyFile } from '../../workflow/signing/read-keys.ts';
import {
  mustBeSayable,
  type SignedOff,
  type SignOffRequest,
  signOff,
} from '../../workflow/signing/sign-off.ts';
import type { Io } from '../common/io.ts';
import { repeatedOption } from '../common/options.ts';
import { askPassphrase } from './ask-passphrase.ts';

/** What a person decides, and with which key. */
export interface DecisionOptions {
  readonly key: string;
  readonly as: string;
  readonly meaning: string;
  readonly decision: string;
  readonly waive: readonly string[];
  readonly reason: readonly string[];
  readonly policy?: string;
  readonly unencryptedKey?: boolean;
}

/** What was decided, as it is signed. */
export type AskedDecision = Omit<SignOffRequest, 'passphrase' | 'ledger'>;

export function addDecisionOptions(command: Command): Command {
  return command
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
    .option('--policy <file>', 'policy: who may decide on what');
}

/** Throws a Complaint where the options are no decision. */
export function readDecision(options: DecisionOptions): AskedDecision {
  const decision = decisionOf(options.decision);
  const waivers = waiversOf(options);
  const { key: keyFile, as: name, meaning, policy, unencryptedKey } = options;
  mustBeSayable({ name, meaning });
  return { keyFile, unencryptedKey, name, meaning, decision, waivers, policy };
}

/** Shows what is signed, asks for the passphrase, and signs. */
export async function signAsked(
  { folder, record }: { readonly folder: string; readonly record: RunRecord },
  asked: AskedDecision & Pick<SignOffRequest, 'ledger'>,
  io: Io,
): Promise<SignedOff> {
  io.stderr(`${aboutRun(record)}\n`);
  const { keyFile, unencryptedKey: unencrypted } = asked;
  const { protection } = await readKeyFile(keyFile, { unencrypted });
  const passphrase = protection.encrypted
    ? await askPassphrase(io, `Passphrase of ${keyFile}`)
    : '';
  const signed = await signOff(folder, record, { ...asked, passphrase });
  if (signed.keyNote) io.stderr(`evenfall: note: ${signed.keyNote}\n`);
  return signed;
}

function decisionOf(text: string): Decision {
  const found = decisions.find((decision) => decision === text);
  if (found) return found;
  const sentence = `--decision: expected ${decisions.join(', ')}, found ${JSON.stringify(text)}`;
  throw new Complaint('usage', sentence);
}

function waiversOf({ waive, reason }: DecisionOptions): { claim: string; reason: string }[] {
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
