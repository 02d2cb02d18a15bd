import { type Command, Option } from 'commander';
import { findRunFolder } from '../../archive/find-run-folder.ts';
import { policyTitle } from '../../archive/policy.ts';
import {
  type LedgerVerification,
  verifyAgainstLedger,
} from '../../archive/verify-against-ledger.ts';
import { plainLine } from '../../files/plain-text.ts';
import { counted } from '../../report/words/prose.ts';
import { loadPublicKey } from '../../workflow/signing/read-keys.ts';
import { readPolicy } from '../../workflow/signing/read-policy.ts';
import { withArchive } from '../common/complaints.ts';
import { exitCodes } from '../common/exit-codes.ts';
import type { Io } from '../common/io.ts';

interface Options {
  readonly reports: string;
  readonly public: readonly string[];
  readonly policy?: string;
  readonly ledger?: string;
  readonly json?: boolean;
}

/** `evenfall verify RUN`: is every byte as it was signed, and by whom. Offline, with the public keys alone. */
export function register(command: Command, io: Io): void {
  command
    .argument('<run>', 'a folder, an id, or latest')
    .addOption(new Option('--public <key...>', 'public keys to trust').default([], 'none'))
    .option('--policy <file>', 'trust the keys of this policy and check the sign-offs against it')
    .option(
      '--ledger <file>',
      'ledger of decisions, which has to know the run (default: the one in the archive, if there is one)',
    )
    .option('--reports <dir>', 'the archive', 'reports')
    .option('--json', 'print the result as JSON')
    .action((run: string, options: Options) => withArchive(() => verify(run, options, io)));
}

async function verify(run: string, options: Options, io: Io): Promise<void> {
  const given = await Promise.all(options.public.map(loadPublicKey));
  const read = options.policy ? await readPolicy(options.policy) : null;
  const keys = [...given, ...(read?.keys ?? [])];
  const folder = await findRunFolder(options.reports, run);
  const asked = { policy: read?.policy ?? null, ledger: options.ledger };
  const verification = await verifyAgainstLedger(folder, keys, asked);
  io.exitCode = verification.accepted ? exitCodes.pass : exitCodes.refused;
  if (options.json) io.stdout(`${JSON.stringify({ version: 1, ...verification }, null, 2)}\n`);
  else io.stdout(verificationText(verification, keys.length));
}

const firstWords: Readonly<Record<LedgerVerification['decision'], string>> = {
  released: 'Released',
  rejected: 'Rejected',
  'on hold': 'On hold',
  undecided: 'Undecided',
  refused: 'Refused',
};

function verificationText(verification: LedgerVerification, keys: number): string {
  const { decision, run, artificial, problems, signoffs, unmet, files, folder } = verification;
  const said = artificial.length > 0 ? ` (${artificial.join('; ')})` : '';
  const lines = [`${firstWords[decision]}${said}: run ${run ?? 'unknown'} in ${folder}`];
  for (const { file, text } of problems) lines.push(`  ${file}: ${text}`);
  for (const { predicate } of signoffs) {
    const { signer, signedAt, meaning, decision, waivers, policy } = predicate;
    lines.push(`  ${decision} by ${signer.name}, ${signedAt}: ${meaning}`);
    lines.push(`    key ${signer.key}`);
    if (policy) lines.push(`    under ${policyTitle(policy)}, sha256 ${policy.digest}`);
    for (const { claim, verdict, reason } of waivers) {
      lines.push(`    waived ${claim} (${verdict}): ${reason}`);
    }
  }
  for (const text of unmet) lines.push(`  policy: ${text}`);
  if (decision !== 'refused') lines.push(`  ${files} files are as they were sealed`);
  lines.push(...ledgerLines(verification));
  if (keys === 0)
    lines.push('  no public key given: without one nothing can be proved (--public KEY)');
  return `${lines.map(indentedLine).join('\n')}\n`;
}

function ledgerLines({ ledger, notes }: LedgerVerification): string[] {
  const lines = notes.map((note) => `  note: ${note}`);
  if (ledger === null) return lines;
  const head = ledger.head === null ? '' : `, the last with sha256 ${ledger.head}`;
  return [
    ...lines,
    `  held against the ledger ${ledger.file}: ${counted(ledger.lines, 'line')}${head}`,
  ];
}

/** Names and texts come out of files: they must not speak to the terminal. */
function indentedLine(line: string): string {
  const text = line.replace(/^ +/, '');
  return ' '.repeat(line.length - text.length) + plainLine(text);
}
