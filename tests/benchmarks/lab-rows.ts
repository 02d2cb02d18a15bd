import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { performance } from 'node:perf_hooks';
import type { Registration, SubmissionRequest } from '../../harness/lab/protocol.ts';
import { programDigest } from '../../harness/workflow/running/program-digest.ts';
import { harnessVersion } from '../../harness/workflow/version.ts';
import { OpenLab } from '../lab/open-lab.ts';
import { hasPostgres, TestPostgres } from '../lab/postgres.ts';
import type { Missing, Row } from './row.ts';

const rigs = 50;
const submissions = 10;
const claims = 50;
const specs = resolve(import.meta.dirname, '../../specs');

/** What the service and its queue cost, without any light: fifty rigs that take shards and say at once that they have ended. */
export async function labRows(runs: number): Promise<readonly (Row | Missing)[]> {
  const name = 'a shard through a lab of 50 rigs on PostgreSQL';
  if (!hasPostgres()) return [{ name, missing: 'PostgreSQL is not installed' }];
  const through: number[] = [];
  const first: number[] = [];
  const overview: number[] = [];
  for (let run = 0; run < runs; run++) {
    const server = await TestPostgres.start();
    const lab = await OpenLab.open(600, null, null, server.url);
    try {
      const found = await drive(lab);
      through.push(found.perShard);
      first.push(found.untilTaken);
      overview.push(found.overview);
    } finally {
      await lab.close();
      await server.stop();
    }
  }
  return [
    {
      ...{ name, unit: 's', figures: through, kind: 'cost', goal: 1 },
      ...{ yardstick: 'what 1,000 rigs ask for with shards of ten minutes', beside: [0.6] },
    },
    {
      ...{ name: 'from a submission of 50 claims to its first shard', unit: 's', figures: first },
      ...{ kind: 'cost', goal: 1, yardstick: 'a second', beside: [1] },
    },
    {
      ...{ name: `overview of a lab with ${submissions * claims} shards`, unit: 's' },
      ...{ figures: overview, kind: 'cost', goal: 1, yardstick: 'a fifth of a second' },
      beside: [0.2],
    },
  ];
}

function digestOf(content: string): string {
  return createHash('sha256').update(content).digest('hex');
}

function specOf(claim: number): string {
  return `spec: claim-${claim}
claim: The lamp dims.
stimulus: [ { set: { level: 50 % } }, { hold: 100 ms } ]
capture: [ { signal: channel-current, of: each-channel, rate: 10 kHz } ]
criteria: [ { metric: modulation, of: warm, at-most: 100 % } ]
`;
}

async function drive(lab: OpenLab) {
  const dora = await lab.token('dora', 'submit');
  const lamp = readFileSync(resolve(specs, 'lamps/alcove-6.lamp.yaml'), 'utf8');
  const texts = [lamp, ...Array.from({ length: claims }, (_, claim) => specOf(claim))];
  for (const text of texts) await send(lab, dora, text);
  const tokens: string[] = [];
  for (let rig = 0; rig < rigs; rig++) {
    tokens.push(await lab.token(`rig-${rig}`, 'run'));
    await must(lab, tokens[rig] ?? '', 'PUT', `/api/rigs/rig-${rig}`, registration());
  }
  const request: SubmissionRequest = {
    lamp: { file: 'lamp.yaml', digest: digestOf(lamp) },
    specs: texts.slice(1).map((text, k) => ({ file: `c${k}.spec.yaml`, digest: digestOf(text) })),
    ...{ tags: [], only: [], seed: 1, simulated: true, flashingOk: false, captures: 'all' },
    ...{ shards: claims, shardTime: 600 },
  };
  const began = performance.now();
  await must(lab, dora, 'POST', '/api/submissions', request);
  await must(lab, tokens[0] ?? '', 'POST', '/api/rigs/rig-0/take', {});
  const untilTaken = (performance.now() - began) / 1000;
  for (let more = 1; more < submissions; more++)
    await must(lab, dora, 'POST', '/api/submissions', request);
  const from = performance.now();
  const counts = await Promise.all(tokens.map((token, rig) => work(lab, token, `rig-${rig}`)));
  const ended = counts.reduce((sum, count) => sum + count, 0);
  const perShard = (performance.now() - from) / 1000 / ended;
  const looked = performance.now();
  await lab.overview();
  return { perShard, untilTaken, overview: (performance.now() - looked) / 1000 };
}

function registration(): Registration {
  const text = readFileSync(resolve(specs, 'rigs/simulated.rig.yaml'), 'utf8');
  const code = programDigest();
  return { file: 'simulated.rig.yaml', text, lamp: null, version: harnessVersion, code };
}

/** Takes shards until there is none; how many. */
async function work(lab: OpenLab, token: string, name: string): Promise<number> {
  for (let count = 0; ; count++) {
    const { lease } = await must(lab, token, 'POST', `/api/rigs/${name}/take`, {});
    if (lease === null) return count;
    const at = `/api/leases/${(lease as { lease: string }).lease}`;
    await must(lab, token, 'POST', `${at}/alive`, { condition: null });
    const files = [{ file: 'run.json', digest: digestOf(specOf(0)) }];
    await must(lab, token, 'POST', `${at}/end`, { run: 'of-the-bench', files });
  }
}

async function send(lab: OpenLab, token: string, text: string): Promise<void> {
  const bytes = Buffer.from(text);
  const path = `/api/files/${digestOf(text)}?from=0&of=${bytes.length}`;
  await must(lab, token, 'PUT', path, bytes);
}

async function must(lab: OpenLab, token: string, method: string, path: string, body: unknown) {
  const { status, said } = await lab.ask(token, method, path, body);
  if (status !== 200) throw new Error(`${method} ${path}: ${JSON.stringify(said)}`);
  return said;
}
