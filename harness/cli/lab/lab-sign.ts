import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Command } from 'commander';
import { readRun } from '../../archive/read-run.ts';
import { type FetchedRun, fetchRun } from '../../lab/client/fetch-run.ts';
import { sendSignoff, signoffToSend } from '../../lab/client/send-signoff.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { readPolicy } from '../../workflow/signing/read-policy.ts';
import { withArchive } from '../common/complaints.ts';
import type { Io } from '../common/io.ts';
import {
  addDecisionOptions,
  type DecisionOptions,
  readDecision,
  signAsked,
} from '../release/decision-options.ts';
import { addLabOptions, type LabOptions, labClient, withLab } from './lab-options.ts';

type Options = DecisionOptions & LabOptions;

/** `evenfall lab sign RUN`: a person's decision on a run of a lab. It is signed here, on a copy of the run; the key goes nowhere. */
export function register(command: Command, io: Io): void {
  const described = command.description('decide on a run of a lab, with a key that stays here');
  addLabOptions(
    addDecisionOptions(
      described.argument('<run>', 'a submission, the name or id of a run of the lab, or latest'),
    ),
  ).action((run: string, options: Options) =>
    withLab(io, () => withArchive(() => signAtLab(run, options, io))),
  );
}

async function signAtLab(run: string, options: Options, io: Io): Promise<void> {
  const asked = readDecision(options);
  const client = labClient(options, io);
  // Nobody else looks into it: a run may be confidential.
  const root = await mkdtemp(join(tmpdir(), 'evenfall-sign-'));
  try {
    const fetched = await fetchRun(client, run, root);
    await mustBeUnder(fetched, asked.policy);
    const { record } = await readRun(fetched.path, { curves: false });
    const { path: folder, ledger } = fetched;
    const signed = await signAsked({ folder, record }, { ...asked, ledger }, io);
    await sendSignoff(client, fetched.folder, await signoffToSend(fetched, signed));
    io.stdout(`${fetched.folder}/${signed.file}\n`);
  } finally {
    await rm(root, { recursive: true, force: true });
  }
}

/** Who decides has read the rules that the lab holds them against. */
async function mustBeUnder({ policy }: FetchedRun, file: string | undefined): Promise<void> {
  if (policy === null) return;
  const title = `the policy ${policy.name}, version ${policy.version}`;
  if (file === undefined) {
    const text = `the lab decides by ${title}; get its file, read it, and name it with --policy`;
    throw new Complaint('usage', text);
  }
  const own = (await readPolicy(file)).policy;
  if (own.digest === policy.digest) return;
  const found = `${own.name}, version ${own.version} (sha256 ${own.digest.slice(0, 12)}…)`;
  const text = `the lab decides by ${title} (sha256 ${policy.digest.slice(0, 12)}…), and ${file} is ${found}; get the lab's file`;
  throw new Complaint('refused', text);
}
