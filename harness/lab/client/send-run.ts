import { createHash } from 'node:crypto';
import { join } from 'node:path';
import { manifestFile, readManifest, sha256File } from '../../archive/manifest.ts';
import {
  type CapturesKept,
  isStored,
  keepsCaptures,
  withoutCaptures,
} from '../../record/kept-captures.ts';
import type { ConditionRecord } from '../../record/run-record.ts';
import type { EndedShard, StoredCondition } from '../protocol.ts';
import { type LabClient, nothing } from './lab-client.ts';
import { type ToSend, uploadFor } from './upload.ts';

/** A run of a shard on its way to the lab. */
export interface SentRun {
  readonly lease: string;
  readonly run: string;
  readonly folder: string;
  readonly kept: CapturesKept;
}

/** Sends a condition that has ended and is stored. */
export async function sendCondition(
  client: LabClient,
  { lease, run, folder, kept }: SentRun,
  spec: string,
  ended: ConditionRecord,
): Promise<void> {
  const condition = keepsCaptures(ended, kept) ? ended : withoutCaptures(ended);
  const files: ToSend[] = [];
  const captures: StoredCondition['captures'] = [];
  for (const { file } of condition.captures.filter(isStored)) {
    const path = join(folder, 'captures', file);
    const digest = await sha256File(path);
    captures.push({ file, digest });
    files.push({ digest, content: { path } });
  }
  const content = Buffer.from(JSON.stringify(condition));
  const record = createHash('sha256').update(content).digest('hex');
  const { key, repeat } = condition;
  await uploadFor(client, [...files, { digest: record, content }], () =>
    client.ask({
      ...{ method: 'POST', path: `/api/leases/${lease}/conditions`, answer: nothing },
      body: { run, spec, key, repeat, record, captures } satisfies StoredCondition,
    }),
  );
}

/** Sends a sealed run, and that the shard has ended with it. */
export async function sendRun(
  client: LabClient,
  { lease, run, folder }: Omit<SentRun, 'kept'>,
): Promise<void> {
  const manifest = await readManifest(folder);
  if (!manifest) throw new Error(`the run in ${folder} is not sealed`);
  const seal = await sha256File(join(folder, manifestFile));
  const files = [
    ...manifest.files.map(({ file, sha256 }) => ({ file, digest: sha256 })),
    { file: manifestFile, digest: seal },
  ];
  const sent = files.map(({ file, digest }) => ({ digest, content: { path: join(folder, file) } }));
  await uploadFor(client, sent, () =>
    client.ask({
      ...{ method: 'POST', path: `/api/leases/${lease}/end`, answer: nothing },
      body: { run, files } satisfies EndedShard,
    }),
  );
}
