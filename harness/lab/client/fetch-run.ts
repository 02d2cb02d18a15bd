import { mkdir, writeFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import PQueue from 'p-queue';
import { ledgerOf, readLedger } from '../../archive/ledger.ts';
import { manifestFile, parseManifest } from '../../archive/manifest.ts';
import { type RunToSign, runToSignSchema } from '../protocol.ts';
import { Refusal } from '../refusal.ts';
import { checkedBytes } from './checked-bytes.ts';
import type { LabClient } from './lab-client.ts';

/** Files that are fetched at once. */
const atOnce = 6;
/** ms for which a lab that does not answer is asked again: somebody waits before their screen. */
const patience = 20_000;

/** A copy of a run with its sign-offs and the lab's ledger of decisions: an archive of one run. */
export interface FetchedRun extends RunToSign {
  /** Path of the run's folder. */
  readonly path: string;
  /** Path of the ledger, whether there is one or not. */
  readonly ledger: string;
}

/**
 * Fetches a run into the folder `root`: each file has the digest that the manifest promises, and the manifest, the sign-offs and the ledger
 * those of one instant, which is what the signer has seen. Rejects with a Refusal where something else comes.
 */
export async function fetchRun(client: LabClient, run: string, root: string): Promise<FetchedRun> {
  const path = `/api/runs/${encodeURIComponent(run)}`;
  const shown = await client.ask({ method: 'GET', path, answer: runToSignSchema }, patience);
  const { folder, seen } = shown;
  const fetched = { ...shown, path: join(root, folder), ledger: ledgerOf(root) };
  const fetchFile = async (file: string, digest: string): Promise<Uint8Array> => {
    const name = file.split('/').map(encodeURIComponent).join('/');
    const sent = await client.fileAt(`/api/runs/${encodeURIComponent(folder)}/files/${name}`);
    const bytes = checkedBytes(sent, digest, file);
    await mkdir(dirname(join(fetched.path, file)), { recursive: true });
    await writeFile(join(fetched.path, file), bytes);
    return bytes;
  };
  const manifest = await fetchFile(manifestFile, seen.manifest);
  const { files } = parseManifest(
    Buffer.from(manifest).toString('utf8'),
    `${folder}/${manifestFile}`,
  );
  const queue = new PQueue({ concurrency: atOnce });
  const all = [...files, ...seen.signoffs];
  try {
    await Promise.all(all.map(({ file, sha256 }) => queue.add(() => fetchFile(file, sha256))));
  } finally {
    // Nothing may be written any more once the caller is told: it removes the folder.
    queue.clear();
    await queue.onIdle();
  }
  await fetchLedger(client, fetched);
  return fetched;
}

async function fetchLedger(client: LabClient, { ledger, seen }: FetchedRun): Promise<void> {
  if (seen.ledger === null) return;
  await writeFile(ledger, await client.fileAt('/api/ledger'));
  const read = await readLedger(ledger);
  if (read?.problem) throw new Refusal('invalid', `its ledger of decisions: ${read.problem}`);
  if (read?.head === seen.ledger) return;
  throw new Refusal('conflict', 'somebody signed while the run was fetched; sign again');
}
