import { readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { rigUse } from '../../harness/cli/bench/rig-use.ts';
import { followSubmission } from '../../harness/lab/client/follow-submission.ts';
import { HeldLease } from '../../harness/lab/client/held-lease.ts';
import { LabClient } from '../../harness/lab/client/lab-client.ts';
import { serveRig } from '../../harness/lab/client/serve-rig.ts';
import { submit } from '../../harness/lab/client/submit.ts';
import { desk } from '../cli/small-specs.ts';
import { registration } from './lab-files.ts';

const simulated = resolve(import.meta.dirname, '../../specs/rigs/simulated.rig.yaml');

/** A simulated rig within this process, from the sources as the lab is; `stop` resolves when it has ended. */
export function rigHere(url: string, token: string): { readonly stop: () => Promise<void> } {
  const life = new AbortController();
  const cwd = desk({ 'simulated.rig.yaml': readFileSync(simulated, 'utf8') });
  const {
    cwd: _,
    signal: __,
    ...use
  } = rigUse(
    {
      ...{ stdout: () => {}, stderr: () => {}, env: {}, cwd, terminal: false, colour: false },
      ...{ columns: 80, interrupted: life.signal, exitCode: 0 },
    },
    join(cwd, 'locks'),
  );
  const setup = {
    client: new LabClient(url, token, life.signal),
    held: new HeldLease(cwd),
    ...{ folder: cwd, rigFile: join(cwd, 'simulated.rig.yaml'), flashingOk: false, jobs: 1 },
    ...{ retries: 1, patience: 10, listener: () => {}, use },
    reports: () => ({ addCapture: () => {}, render: () => [] }),
  };
  const serving = serveRig(setup, registration, { signal: life.signal, tell: () => {} });
  return {
    stop: async () => {
      life.abort();
      await serving.catch(() => {});
    },
  };
}

/** Submits the folder `specs` below `cwd` as `evenfall submit --simulated` does; its id. */
export async function submitHere(
  { url, token, cwd }: { readonly url: string; readonly token: string; readonly cwd: string },
  shards: number,
): Promise<string> {
  const client = new LabClient(url, token, new AbortController().signal);
  const wanted = {
    ...{ paths: ['specs'], tags: [], only: [], seed: 1, simulated: true, flashingOk: false },
    ...{ captures: 'all' as const, shards, shardTime: 600, lamp: undefined, firmware: undefined },
    ...{ quarantine: undefined, build: '1.0' },
  };
  return (await submit(client, wanted, cwd)).submission;
}

/** Waits for the end of a submission. */
export async function endOf(
  url: string,
  token: string,
  id: string,
): Promise<{ readonly state: string; readonly why: string | null }> {
  const { signal } = new AbortController();
  const client = new LabClient(url, token, signal);
  const { submission } = await followSubmission(client, id, { signal, tell: () => {} });
  return submission;
}
