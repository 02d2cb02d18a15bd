import { join } from 'node:path';
import { sha256 } from '../../archive/manifest.ts';
import { readPlainFile } from '../../archive/plain-file.ts';
import { releaseSuffix, testResultSuffix } from '../../archive/signoff-files.ts';
import type { SentSignoff } from '../protocol.ts';
import type { FetchedRun } from './fetch-run.ts';
import { type LabClient, nothing } from './lab-client.ts';

/** ms for which sending is tried again: what was stored is known when it comes a second time. */
const patience = 120_000;

/** The sign-off `file` that was made on a copy of a run, with what came to the copy's ledger. */
export async function signoffToSend(
  { path, ledger, seen }: FetchedRun,
  { file, publicPem }: { readonly file: string; readonly publicPem: string },
): Promise<SentSignoff> {
  const testResult = file.replace(releaseSuffix, testResultSuffix);
  const textOf = async (name: string): Promise<string> =>
    (await readPlainFile(join(path, name))).toString('utf8');
  return {
    seen,
    publicKey: publicPem,
    testResult: { file: testResult, text: await textOf(testResult) },
    release: { file, text: await textOf(file) },
    lines: await linesAfter(ledger, seen.ledger),
  };
}

/** Sends a sign-off of the run of a folder. Rejects with a Refusal where the lab does not take it. */
export async function sendSignoff(
  client: LabClient,
  folder: string,
  body: SentSignoff,
): Promise<void> {
  const path = `/api/runs/${encodeURIComponent(folder)}/sign-offs`;
  await client.ask({ method: 'POST', path, body, answer: nothing }, patience);
}

/** The lines of a ledger after the one of the digest `head`; all of them where it is null. */
async function linesAfter(ledger: string, head: string | null): Promise<string> {
  const lines = (await readPlainFile(ledger)).toString('utf8').split('\n');
  const last = head === null ? -1 : lines.findIndex((line) => sha256(line) === head);
  return lines.slice(last + 1).join('\n');
}
