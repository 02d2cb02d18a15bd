import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import type { Registration, SubmissionRequest } from '../../harness/lab/protocol.ts';
import { programDigest } from '../../harness/workflow/running/program-digest.ts';
import { harnessVersion } from '../../harness/workflow/version.ts';
import { dimmingSpec } from '../cli/small-specs.ts';
import type { OpenLab } from './open-lab.ts';

const specs = resolve(import.meta.dirname, '../../specs');

export function digestOf(content: string | Uint8Array): string {
  return createHash('sha256').update(content).digest('hex');
}

export const registration: Registration = {
  file: 'simulated.rig.yaml',
  text: readFileSync(resolve(specs, 'rigs/simulated.rig.yaml'), 'utf8'),
  lamp: null,
  version: harnessVersion,
  code: programDigest(),
};

const inputs = {
  'lamp.yaml': readFileSync(resolve(specs, 'lamps/alcove-6.lamp.yaml'), 'utf8'),
  'specs/a.spec.yaml': dimmingSpec('first', ['50 %', '20 %']),
  'specs/b.spec.yaml': dimmingSpec('second', ['10 %']),
};

function input(file: keyof typeof inputs) {
  return { file, digest: digestOf(inputs[file]) };
}

/** Two claims, in one shard unless `shards` says otherwise. */
export function requestOf(more: Partial<SubmissionRequest> = {}): SubmissionRequest {
  return {
    lamp: input('lamp.yaml'),
    specs: [input('specs/a.spec.yaml'), input('specs/b.spec.yaml')],
    ...{ tags: [], only: [], build: '1.0', seed: 1, simulated: true, flashingOk: false },
    ...{ captures: 'all', shards: 1, shardTime: 600 },
    ...more,
  };
}

export async function sendFile(
  lab: OpenLab,
  token: string,
  content: string | Uint8Array,
  digest = digestOf(content),
): Promise<{ readonly status: number; readonly said: Record<string, unknown> }> {
  const bytes = Buffer.from(content);
  return lab.ask(token, 'PUT', `/api/files/${digest}?from=0&of=${bytes.length}`, bytes);
}

/** Submits; the answer's `submission` is its id. */
export async function submitted(
  lab: OpenLab,
  token: string,
  more: Partial<SubmissionRequest> = {},
): Promise<string> {
  for (const content of Object.values(inputs)) await sendFile(lab, token, content);
  const { status, said } = await lab.ask(token, 'POST', '/api/submissions', requestOf(more));
  if (status !== 200) throw new Error(JSON.stringify(said));
  return said['submission'] as string;
}

/** A simulated rig that has registered; its token. */
export async function rigAt(lab: OpenLab, name: string): Promise<string> {
  const token = await lab.token(name, 'run');
  const { status, said } = await lab.ask(token, 'PUT', `/api/rigs/${name}`, registration);
  if (status !== 200) throw new Error(JSON.stringify(said));
  return token;
}
