import { existsSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import * as fc from 'fast-check';
import { afterEach, expect, it } from 'vitest';
import { Clearing } from '../../harness/lab/clearing/clearing.ts';
import type { InputFile } from '../../harness/lab/protocol.ts';
import { dimmingSpec } from '../cli/small-specs.ts';
import { sampleSeed, whole } from '../sampled.ts';
import { digestOf, requestOf, rigAt, sendFile, submitted } from './lab-files.ts';
import { digestsIn, later } from './later.ts';
import { OpenLab } from './open-lab.ts';

let lab: OpenLab;
afterEach(() => lab.close());

const pool = Array.from({ length: 5 }, (_, k) => dimmingSpec(`claim-${k}`, [`${10 + k} %`]));

function specOf(k: number): InputFile {
  return { file: `specs/${k}.spec.yaml`, digest: digestOf(pool[k] ?? '') };
}

/** What somebody does, or what happens, beside a clearing that runs at the same time. */
type Step =
  | { readonly do: 'send'; readonly spec: number }
  | { readonly do: 'ask'; readonly specs: readonly number[] }
  | { readonly do: 'submit'; readonly specs: readonly number[] }
  | { readonly do: 'cancel'; readonly which: number }
  | { readonly do: 'schedule' | 'unschedule'; readonly spec: number }
  | { readonly do: 'wait'; readonly hours: number };

const spec = fc.integer({ min: 0, max: pool.length - 1 });
const specs = fc.uniqueArray(spec, { minLength: 1, maxLength: 3 });
const step: fc.Arbitrary<Step> = fc.oneof(
  fc.record({ do: fc.constant('send' as const), spec }),
  fc.record({ do: fc.constant('ask' as const), specs }),
  { weight: 3, arbitrary: fc.record({ do: fc.constant('submit' as const), specs }) },
  fc.record({ do: fc.constant('cancel' as const), which: fc.nat(9) }),
  fc.record({ do: fc.constantFrom('schedule' as const, 'unschedule' as const), spec }),
  {
    weight: 3,
    arbitrary: fc.record({
      do: fc.constant('wait' as const),
      hours: fc.constantFrom(5, 20, 30, 800),
    }),
  },
);

/** Somebody who submits, knows what the lab said last, and believes it. */
class Somebody {
  readonly #token: string;
  /** h that have passed. */
  #now = 0;
  /** By spec the hour at which the lab said that it is there. */
  readonly #told = new Map<number, number>();
  readonly open = new Map<string, readonly number[]>();
  readonly scheduled = new Set<number>();

  constructor(token: string) {
    this.#token = token;
  }

  /** Specs that have to be there now. */
  get needed(): readonly number[] {
    const told = [...this.#told].filter(([, at]) => this.#now - at < 24).map(([k]) => k);
    return [...new Set([...told, ...[...this.open.values()].flat(), ...this.scheduled])];
  }

  async take(step: Step): Promise<void> {
    if (step.do === 'wait') {
      await later(lab, step.hours / 24);
      this.#now += step.hours;
      return;
    }
    // Two services clear as they like meanwhile.
    const clearings = [lab.lab.clearing?.run(), other()];
    await this.#act(step);
    await Promise.all(clearings);
  }

  async #act(step: Exclude<Step, { do: 'wait' }>): Promise<void> {
    if (step.do === 'send') await this.#send(step.spec);
    else if (step.do === 'ask') await this.#ask(step.specs);
    else if (step.do === 'submit') await this.#submit(step.specs);
    else if (step.do === 'cancel') await this.#cancel(step.which);
    else if (step.do === 'schedule') await this.#schedule(step.spec);
    else if (this.scheduled.delete(step.spec))
      await this.#ok(`/api/schedules/s${step.spec}/remove`, {});
  }

  async #send(k: number): Promise<void> {
    const { status } = await sendFile(lab, this.#token, pool[k] ?? '');
    expect(status).toBe(200);
    this.#told.set(k, this.#now);
  }

  /** What is missing of these. */
  async #ask(asked: readonly number[]): Promise<readonly number[]> {
    const digests = asked.map((k) => specOf(k).digest);
    const { said } = await lab.ask(this.#token, 'POST', '/api/files/missing', { digests });
    const missing = asked.filter((k) => (said['missing'] as string[]).includes(specOf(k).digest));
    for (const k of asked) if (!missing.includes(k)) this.#told.set(k, this.#now);
    return missing;
  }

  async #submit(asked: readonly number[]): Promise<void> {
    const { lamp } = requestOf();
    const body = requestOf({ lamp, specs: asked.map(specOf) });
    const isTold = asked.every((k) => this.#now - (this.#told.get(k) ?? -99) < 24);
    const first = await lab.ask(this.#token, 'POST', '/api/submissions', body);
    // Who was told that all is there is never told otherwise within the day.
    if (isTold) expect(first.status, JSON.stringify(first.said)).toBe(200);
    if (first.status !== 200) {
      expect(first.said['kind'], JSON.stringify(first.said)).toBe('missing');
      for (const k of await this.#ask(asked)) await this.#send(k);
      const second = await lab.ask(this.#token, 'POST', '/api/submissions', body);
      expect(second.status, JSON.stringify(second.said)).toBe(200);
      this.open.set(second.said['submission'] as string, asked);
    } else this.open.set(first.said['submission'] as string, asked);
    for (const k of asked) this.#told.set(k, this.#now);
  }

  async #cancel(which: number): Promise<void> {
    const id = [...this.open.keys()][which];
    if (id === undefined) return;
    await this.#ok(`/api/submissions/${id}/cancel`, {});
    this.open.delete(id);
  }

  async #schedule(k: number): Promise<void> {
    if (this.#now - (this.#told.get(k) ?? -99) >= 24) await this.#send(k);
    const request = requestOf({ specs: [specOf(k)] });
    await this.#ok('/api/schedules', { name: `s${k}`, cron: '0 3 1 1 *', zone: 'UTC', request });
    this.#told.set(k, this.#now);
    this.scheduled.add(k);
  }

  async #ok(path: string, body: unknown): Promise<void> {
    const { status, said } = await lab.ask(this.#token, 'POST', path, body);
    expect(status, JSON.stringify(said)).toBe(200);
  }

  /** Wants nothing any more. */
  async end(): Promise<void> {
    for (const id of this.open.keys()) await this.#ok(`/api/submissions/${id}/cancel`, {});
    for (const k of this.scheduled) await this.#ok(`/api/schedules/s${k}/remove`, {});
  }
}

/** Courses that are tried whatever is drawn. */
const examples: [Step[]][] = [
  // Told to be here shortly before its day is over.
  [
    [
      { do: 'send', spec: 0 },
      { do: 'wait', hours: 20 },
      { do: 'ask', specs: [0] },
      { do: 'wait', hours: 5 },
      { do: 'send', spec: 1 },
      { do: 'submit', specs: [0] },
    ],
  ],
  // Wanted by a schedule alone, for longer than anything else is kept.
  [
    [
      { do: 'schedule', spec: 2 },
      { do: 'wait', hours: 800 },
      { do: 'send', spec: 1 },
    ],
  ],
];

let other: () => Promise<unknown> = async () => {};

it(
  'never lets anybody miss a file, and takes everything in the end',
  async () => {
    lab = await OpenLab.open();
    await rigAt(lab, 'left');
    const dora = await lab.token('dora', 'submit');
    // The lamp stays for all of them.
    await submitted(lab, dora);
    const { database, files, archive } = lab.lab;
    const second = new Clearing({
      ...{ database, files, archive, folder: lab.folder, keep: 30 * 86_400 },
      ...{ signal: new AbortController().signal, onError: () => {} },
    });
    other = () => second.run();
    const initial = digestsIn(lab.folder);
    await fc.assert(
      fc.asyncProperty(fc.array(step, { minLength: 10, maxLength: 25 }), async (steps) => {
        const somebody = new Somebody(dora);
        for (const one of steps) {
          await somebody.take(one);
          const there = new Set(digestsIn(lab.folder));
          const lost = somebody.needed.filter((k) => !there.has(specOf(k).digest));
          expect(lost, `after ${JSON.stringify(one)}`).toEqual([]);
        }
        await somebody.end();
        await later(lab, 31);
        await Promise.all([lab.lab.clearing?.run(), other()]);
        expect(digestsIn(lab.folder)).toEqual(initial);
        expect(readdirSync(join(lab.folder, 'inputs'))).toHaveLength(1);
        const leaving = join(lab.folder, 'files/leaving');
        expect(existsSync(leaving) ? readdirSync(leaving) : []).toEqual([]);
      }),
      { numRuns: whole ? 200 : 6, seed: sampleSeed, endOnFailure: true, examples },
    );
  },
  whole ? 3_600_000 : 120_000,
);
