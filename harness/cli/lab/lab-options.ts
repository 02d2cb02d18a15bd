import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import type { Command } from 'commander';
import { LabClient } from '../../lab/client/lab-client.ts';
import { Refusal, type RefusalKind } from '../../lab/refusal.ts';
import { Complaint, type ComplaintKind } from '../../workflow/complaint.ts';
import type { Io } from '../common/io.ts';

/** Which lab, and who asks. */
export interface LabOptions {
  readonly lab?: string;
  readonly tokenFile?: string;
}

export function addLabOptions(command: Command): Command {
  return command
    .option('--lab <url>', 'address of the lab (default: EVENFALL_LAB)')
    .option('--token-file <file>', 'file with your token (default: EVENFALL_LAB_TOKEN has it)');
}

/** Throws a Complaint where the lab or the token is not named, or cannot be used. */
export function labClient(options: LabOptions, io: Io): LabClient {
  return new LabClient(labUrl(options, io), tokenOf(options, io), io.interrupted);
}

function labUrl({ lab }: LabOptions, { env }: Io): string {
  const url = lab ?? env['EVENFALL_LAB'];
  if (!url) throw new Complaint('usage', 'expected the address of a lab; name it with --lab');
  const parsed = URL.canParse(url) ? new URL(url) : null;
  if (parsed?.protocol === 'http:' || parsed?.protocol === 'https:') return url;
  const text = `expected the address of a lab such as https://lab.example, found ${JSON.stringify(url)}`;
  throw new Complaint('usage', text);
}

function tokenOf({ tokenFile }: LabOptions, { env, cwd }: Io): string {
  const found =
    tokenFile === undefined ? env['EVENFALL_LAB_TOKEN'] : readToken(resolve(cwd, tokenFile));
  const token = (found ?? '').trim();
  if (/^[\w-]{20,200}$/.test(token)) return token;
  throw new Complaint(
    'usage',
    'expected a token of the lab in EVENFALL_LAB_TOKEN, or in the file that --token-file names; an administrator gives you one (evenfall lab token add)',
  );
}

function readToken(file: string): string {
  try {
    return readFileSync(file, 'utf8');
  } catch (error) {
    const text = `expected a file with a token at ${file}, found none`;
    throw new Complaint('no-input', text, { cause: error });
  }
}

const kinds: Readonly<Record<RefusalKind, ComplaintKind>> = {
  invalid: 'bad-file',
  'no-token': 'refused',
  forbidden: 'refused',
  'not-found': 'no-input',
  conflict: 'refused',
  missing: 'refused',
  'too-large': 'bad-file',
  away: 'unreachable',
};

/** Runs `work`; what the lab refuses becomes a Complaint, and so does an interruption. */
export async function withLab<Result>(
  { interrupted }: Pick<Io, 'interrupted'>,
  work: () => Promise<Result>,
): Promise<Result> {
  try {
    return await work();
  } catch (error) {
    if (error instanceof Refusal)
      throw new Complaint(kinds[error.kind], `the lab: ${error.message}`, { cause: error });
    if (!interrupted.aborted || error instanceof Complaint) throw error;
    throw new Complaint('interrupted', 'interrupted while the lab was asked', { cause: error });
  }
}
