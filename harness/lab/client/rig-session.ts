import { join, resolve } from 'node:path';
import { findRunFolder } from '../../archive/find-run-folder.ts';
import { readRun } from '../../archive/read-run.ts';
import type { RunRecord } from '../../record/run-record.ts';
import type { RunListener } from '../../run/engine/events.ts';
import { isSimulated } from '../../workflow/inputs/read-bench.ts';
import { readFirmware } from '../../workflow/inputs/read-firmware.ts';
import { readQuarantine } from '../../workflow/inputs/read-quarantine.ts';
import { readRunBench } from '../../workflow/inputs/run-inputs.ts';
import type { RigUse } from '../../workflow/rig/rig-event.ts';
import type { FinishedRun, RunRequest } from '../../workflow/running/run-and-store.ts';
import { runOnRig } from '../../workflow/running/run-on-rig.ts';
import { runSimulated } from '../../workflow/running/run-simulated.ts';
import type { RunReports } from '../../workflow/running/run-store.ts';
import { wallClock } from '../../workflow/wall-clock.ts';
import { type BenchOfRun, type Lease, leaseStateSchema } from '../protocol.ts';
import { Refusal } from '../refusal.ts';
import { fetchEarlier, fetchInputs } from './fetch-shard.ts';
import type { Held, HeldLease } from './held-lease.ts';
import { type LabClient, nothing } from './lab-client.ts';
import { type SentRun, sendCondition, sendRun } from './send-run.ts';

/** ms between two signs of life. */
const heartbeat = 3000;

export interface RigSetup {
  readonly client: LabClient;
  readonly held: HeldLease;
  /** The rig's own folder: inputs, and the archive of its runs. */
  readonly folder: string;
  /** Rig file, absolute. */
  readonly rigFile: string;
  /** Whoever operates the rig has read the cautions: specs that flash may run. */
  readonly flashingOk: boolean;
  readonly retries: number;
  /** s */
  readonly patience: number;
  readonly jobs?: number | undefined;
  readonly reports: () => RunReports;
  readonly listener: RunListener;
  readonly use: Omit<RigUse, 'cwd' | 'signal'>;
}

/** How a shard ended on this rig. */
export type ShardEnd =
  | { readonly end: 'sent'; readonly record: RunRecord }
  /** Somebody else has it now, or nobody wants it any more. */
  | { readonly end: 'lost' }
  /** It could not be finished here, and why; not to be offered to this rig again for `pause` s. */
  | { readonly end: 'given up'; readonly why: string; readonly pause: number };

/** Runs one shard from its lease to its end, and says meanwhile that the rig lives. */
export async function runShard(
  setup: RigSetup,
  { lease, run }: Held,
  signal: AbortSignal,
): Promise<ShardEnd> {
  const lost = new AbortController();
  const both = AbortSignal.any([signal, lost.signal]);
  const work = new ShardWork(setup, lease, both, () => lost.abort('lost'));
  try {
    const { record, folder } = await work.run(run);
    if (lost.signal.aborted) return { end: 'lost' };
    await work.sent();
    if (record.ended === 'interrupted')
      return { end: 'given up', why: 'the rig was stopped', pause: 0 };
    if (record.ended !== 'complete' || folder === null)
      return { end: 'given up', why: whyEnded(record), pause: benchPause };
    await sendRun(setup.client, { lease: lease.lease, run: record.id, folder });
    return { end: 'sent', record };
  } catch (error) {
    if (lost.signal.aborted || (error instanceof Refusal && error.kind === 'conflict'))
      return { end: 'lost' };
    throw error;
  } finally {
    work.close();
  }
}

/** s that a rig with a fault does not ask for the same shard. */
const benchPause = 60;

/** The first bench error of a run that was given up, such as what was not good before its first claim. */
function whyEnded({ specs }: RunRecord): string {
  const errors = specs.flatMap(({ conditions }) =>
    conditions.filter(({ verdict }) => verdict === 'error'),
  );
  return errors[0]?.reason ?? 'too many bench errors';
}

class ShardWork {
  readonly #setup: RigSetup;
  readonly #lease: Lease;
  readonly #signal: AbortSignal;
  readonly #lose: () => void;
  readonly #beat: NodeJS.Timeout;
  #condition: string | null = null;
  #sending: Promise<void> = Promise.resolve();
  #begun: SentRun | null = null;

  constructor(setup: RigSetup, lease: Lease, signal: AbortSignal, lose: () => void) {
    this.#setup = setup;
    this.#lease = lease;
    this.#signal = signal;
    this.#lose = lose;
    this.#beat = setInterval(() => void this.#alive(), heartbeat);
    void this.#alive();
  }

  close(): void {
    clearInterval(this.#beat);
  }

  /** All conditions that have ended are at the lab. */
  sent(): Promise<void> {
    return this.#sending;
  }

  async run(before: string | null): Promise<FinishedRun> {
    const { client, folder } = this.#setup;
    const { submission, lease } = this.#lease;
    const inputs = join(folder, 'inputs', submission);
    await fetchInputs(client, this.#lease, inputs);
    const resume = before === null ? null : await this.#unfinished(before);
    if (resume !== null && 'finished' in resume) return resume.finished;
    const request = await this.#request(inputs, resume?.id);
    const earlier = resume
      ? undefined
      : await fetchEarlier(client, this.#lease, join(folder, 'earlier', lease));
    const store = request.store && { ...request.store, takenOver: earlier };
    return this.#runOn({ ...request, store }, inputs);
  }

  /** A run of this shard that the program had begun before it was killed: sealed, or to be resumed; null where nothing of it is left. */
  async #unfinished(
    id: string,
  ): Promise<{ readonly finished: FinishedRun } | { readonly id: string } | null> {
    const folder = await findRunFolder(this.#archive, id).catch(() => null);
    if (folder === null) return null;
    const { record, sealed } = await readRun(folder, { hashed: false });
    return sealed ? { finished: { record, folder } } : { id };
  }

  get #archive(): string {
    return join(this.#setup.folder, 'runs');
  }

  async #request(inputs: string, resume: string | undefined): Promise<RunRequest> {
    const { request, shard, claims } = this.#lease;
    const { lamp, specs, tags, only, failedIn, seed, build, serial, operator } = request;
    const { quarantine } = request;
    const today = wallClock.now().slice(0, 10);
    const bench = readRunBench({ lamp: lamp.file, rig: resolve(this.#setup.rigFile) }, inputs);
    return {
      bench,
      selection: {
        paths: specs.map(({ file }) => file),
        ...{ tags, only, failedIn, assigned: { shard, claims } },
      },
      ...{ seed, build, serial, operator },
      quarantine: quarantine && readQuarantine(quarantine.file, inputs, today).held,
      // Without a guard band nothing is inconclusive for its uncertainty.
      again: bench.rig.decision.rule === 'guarded' ? request.again : undefined,
      store: { archive: this.#archive, captures: request.captures, resume },
    };
  }

  async #runOn(request: RunRequest, inputs: string): Promise<FinishedRun> {
    const { flashingOk, retries, patience, jobs, reports, listener, use } = this.#setup;
    const { firmware } = this.#lease.request;
    const context = {
      ...{ cwd: inputs, signal: this.#signal, reports: reports() },
      listeners: [this.#listener, listener],
    };
    if (isSimulated(request.bench.rig)) {
      const image = firmware && (await readFirmware(firmware.file, inputs, request.bench.lamp));
      return runSimulated({ ...request, faults: [], jobs, firmware: image }, context);
    }
    const allowed = flashingOk && this.#lease.request.flashingOk;
    const firmwareFile = firmware && join(inputs, firmware.file);
    return runOnRig(
      { ...request, ...{ flashingOk: allowed, retries, patience, firmwareFile } },
      { ...context, ...use },
    );
  }

  /** Tells the lab what is stored; the bench does not wait for it. */
  readonly #listener: RunListener = async (event) => {
    if (event.event === 'run-started') await this.#runBegun(event.record);
    else if (event.event === 'condition-started')
      this.#condition = `${event.spec} ${event.key}`.trim();
    else if (event.event === 'condition-ended' && this.#begun) {
      const { spec, condition } = event;
      const begun = this.#begun;
      // An error of the bench is worth another try by whoever takes over.
      if (condition.verdict === 'error' || condition.verdict === 'not run') return;
      this.#inTurn(() => sendCondition(this.#setup.client, begun, spec, condition));
    }
  };

  async #runBegun(record: RunRecord): Promise<void> {
    const { held, client } = this.#setup;
    const { lease, request } = this.#lease;
    await held.keep(this.#lease, record.id);
    const folder = await findRunFolder(this.#archive, record.id);
    this.#begun = { lease, run: record.id, folder, kept: request.captures };
    const body = benchOf(record);
    this.#inTurn(async () => {
      await client.ask({
        ...{ method: 'POST', path: `/api/leases/${lease}/begun`, answer: nothing },
        body,
      });
    });
  }

  #inTurn(send: () => Promise<void>): void {
    this.#sending = this.#sending.then(send).catch((error) => {
      if (error instanceof Refusal && error.kind === 'conflict') this.#lose();
      else if (!this.#signal.aborted)
        this.#setup.use.onRigEvent({ event: 'not-sent', why: (error as Error).message });
    });
  }

  async #alive(): Promise<void> {
    const { client } = this.#setup;
    try {
      await client.ask(
        {
          ...{ method: 'POST', path: `/api/leases/${this.#lease.lease}/alive`, answer: nothing },
          body: { condition: this.#condition },
        },
        0,
      );
    } catch (error) {
      // Without a connection the shard is still ours until the lab says otherwise.
      if (error instanceof Refusal && error.kind === 'conflict') this.#lose();
    }
  }
}

function benchOf({ id, startedAt, rig, lamp, operator }: RunRecord): BenchOfRun {
  const { serial, says } = lamp;
  return {
    ...{ run: id, startedAt, rig, lamp: { serial, ...(says && { says }) } },
    ...(operator !== undefined && { operator }),
  };
}

/** Whether a lease that was kept is still this rig's. */
export async function stateOf(
  client: LabClient,
  lease: string,
): Promise<'yours' | 'ended' | 'gone'> {
  const path = `/api/leases/${lease}`;
  return (await client.ask({ method: 'GET', path, answer: leaseStateSchema })).state;
}
