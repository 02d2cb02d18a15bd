import { existsSync } from 'node:fs';
import { mkdir, rm } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import writeFileAtomic from 'write-file-atomic';
import type { ConditionRecord } from '../../record/run-record.ts';
import type { TakenOver } from '../../workflow/running/taken-over.ts';
import { type Lease, readCondition } from '../protocol.ts';
import { inputsOf } from '../submissions/input-folder.ts';
import { checkedBytes } from './checked-bytes.ts';
import type { LabClient } from './lab-client.ts';

/** Fetches the inputs of a shard into a folder, as they were named, and makes sure of each. */
export async function fetchInputs(
  client: LabClient,
  { request }: Pick<Lease, 'request'>,
  folder: string,
): Promise<void> {
  for (const { file, digest } of inputsOf(request)) {
    const path = join(folder, file);
    if (!existsSync(path)) await fetchFile(client, digest, path);
  }
}

/** Fetches what other benches had stored of a shard; null where they had nothing. */
export async function fetchEarlier(
  client: LabClient,
  { conditions, earlier }: Pick<Lease, 'conditions' | 'earlier'>,
  folder: string,
): Promise<TakenOver | undefined> {
  if (conditions.length === 0) return undefined;
  await rm(folder, { recursive: true, force: true });
  const read: { spec: string; condition: ConditionRecord }[] = [];
  for (const { spec, record, captures } of conditions) {
    for (const { file, digest } of captures)
      await fetchFile(client, digest, join(folder, 'captures', file));
    read.push({ spec, condition: readCondition(await checked(client, record)) });
  }
  return { source: folder, conditions: read, benches: earlier };
}

async function fetchFile(client: LabClient, digest: string, path: string): Promise<void> {
  const bytes = await checked(client, digest);
  await mkdir(dirname(path), { recursive: true });
  await writeFileAtomic(path, Buffer.from(bytes));
}

async function checked(client: LabClient, digest: string): Promise<Uint8Array> {
  return checkedBytes(await client.bytes(digest), digest);
}
