import { type Command, Option } from 'commander';
import { findRunFolder } from '../../archive/find-run-folder.ts';
import { type Verification, verifyRun } from '../../archive/verify-run.ts';
import { plainLine } from '../../files/plain-text.ts';
import { loadPublicKey } from '../../workflow/signing/read-keys.ts';
import { readPolicy } from '../../workflow/signing/read-policy.ts';
import { withArchive } from '../common/complaints.ts';
import { exitCodes } from '../common/exit-codes.ts';
import type { Io } from '../common/io.ts';

interface Options {
  readonly reports: string;
  readonly public: readonly string[];
  readonly policy?: string;
  readonly json?: boolean;
}

/** `evenfall verify RUN`: is every byte as it was signed, and by whom. Offline, with the public keys alone. */
export function register(command: Command, io: Io): void {
  command
    .argument('<run>', 'a folder, an id, or latest')
    .addOption(new Option('--public <key...>', 'public keys to trust').default([], 'none'))
    .option('--policy <file>', 'trust the keys of this policy and check the sign-offs against it')
    .option('--reports <dir>', 'the archive', 'reports')
    .option('--json', 'print the result as JSON')
    .addHelpText('after', `\nExit code: 0 accepted, ${exitCodes.refused} refused.`)
    .action((run: string, options: Options) => withArchive(() => verify(run, options, io)));
}

async function verify(run: string, options: Options, io: Io): Promise<void> {
  const given = await Promise.all(options.public.map(loadPublicKey));
  const read = options.policy ? await readPolicy(options.policy) : null;
  const keys = [...given, ...(read?.keys ?? [])];
  const folder = await findRunFolder(options.reports, run);
  const verification = await verifyRun(folder, keys, read?.policy ?? null);
  io.exitCode = verification.accepted ? exitCodes.pass : exitCodes.refused;
  if (options.json) io.stdout(`${JSON.stringify({ version: 1, ...verification }, null, 2)}\n`);
  else io.stdout(verificationText(verification, keys.length));
}

function verificationText(verification: Verification, keys: number): string {
  const { accepted, run, problems, signoffs, unmet, files, folder } = verification;
  const lines = [`${accepted ? 'Accepted' : 'Refused'}: run ${run ?? 'unknown'} in ${folder}`];
  for (const { file, text } of problems) lines.push(`  ${file}: ${text}`);
  for (const { predicate } of signoffs) {
    const { signer, signedAt, meaning, decision, waivers } = predicate;
    lines.push(`  ${decision} by ${signer.name}, ${signedAt}: ${meaning}`);
    lines.push(`    key ${signer.key}`);
    for (const { claim, verdict, reason } of waivers) {
      lines.push(`    waived ${claim} (${verdict}): ${reason}`);
    }
  }
  for (const text of unmet) lines.push(`  policy: ${text}`);
  if (accepted) lines.push(`  ${files} files are as they were sealed`);
  if (keys === 0)
    lines.push('  no public key given: without one nothing can be proved (--public KEY)');
  return `${lines.map(indentedLine).join('\n')}\n`;
}

/** Names and texts come out of files: they must not speak to the terminal. */
function indentedLine(line: string): string {
  const text = line.replace(/^ +/, '');
  return ' '.repeat(line.length - text.length) + plainLine(text);
}
