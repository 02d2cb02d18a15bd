import { coarseCommand } from '../../explore/coarse-command.ts';
import type { Deviation } from '../../explore/deviation.ts';
import { plannedSteps } from '../../explore/plain-reader.ts';
import { reachedKinds } from '../../explore/reached-kinds.ts';
import { benchFrame } from '../../explore/rig/bench-frame.ts';
import { type BenchTerms, type Foreseen, whyNotOnRig } from '../../explore/rig/why-not-on-rig.ts';
import type { Tried, TrySteps } from '../../explore/search.ts';
import { type KeptHead, rest, specText } from '../../explore/spec-text.ts';
import type { Condition, Plan } from '../../plan/plan.ts';
import type { WrittenStep } from '../../plan/verbs/verb.ts';
import type { ConditionRecord, Finding } from '../../record/run-record.ts';
import { attempt } from '../../run/engine/attempt.ts';
import type { ConditionTask, Lane } from '../../run/engine/lane.ts';
import { readSpec } from '../../spec-language/spec-file.ts';
import { observeSequence, type SeenSequence, type TriedLamp } from './observe-sequence.ts';

/** The lamp on a bench, and the simulated one that every sequence is tried on first. */
export interface BenchToTry {
  readonly lane: Lane;
  readonly lamp: ConditionTask['lamp'];
  readonly rig: ConditionTask['rig'];
  readonly simulated: TriedLamp;
  readonly terms: BenchTerms;
  readonly seed: number;
  /** How often a sequence is tried again after a bench error. */
  readonly retries: number;
  /** The time of the search is over: nothing more is begun. */
  isOver(): boolean;
}

/** Hears what becomes of each sequence. */
export interface BenchHearer {
  tried(ended: ConditionRecord): void;
  /** A sequence is not for a bench. */
  leftOut(why: string): void;
  benchError(text: string): void;
}

const head: KeptHead = {
  spec: 'explored',
  claim: 'The light and the answers follow the model of the lamp.',
  origin: [],
};

/** The claim that a sequence is carried out as on a bench; null where it cannot be one. */
export function benchPlan(
  steps: readonly WrittenStep[],
  { lamp, rig, terms }: Pick<BenchToTry, 'lamp' | 'rig' | 'terms'>,
): Plan | null {
  const frame = benchFrame(steps, { lamp, rig, brightest: terms.brightest });
  const text = specText(head, steps, frame);
  const read = readSpec(text, { file: 'explored.spec.yaml', folder: '', digest: '', lamp });
  return 'plan' in read ? read.plan : null;
}

/** So many sequences one after another that show nothing new on the simulated lamp: the next one is taken all the same. */
const mostStale = 30;

/**
 * Carries out sequences on a bench, each as the claim that it would be kept as. Every one is tried on the simulated lamp before: what is too
 * bright, too long, flashes, or would change what the lamp keeps, does not come to the bench; nor does what shows nothing there that was not
 * seen before, since a bench is slow.
 */
export class BenchTries {
  readonly #bench: BenchToTry;
  readonly #hearer: BenchHearer;
  readonly #signal: AbortSignal;
  readonly #reached = new Set<string | number>();
  #count = 0;
  #stale = 0;
  #isSmaller = false;

  /** Nothing more is carried out once `signal` aborts. */
  constructor(bench: BenchToTry, hearer: BenchHearer, signal: AbortSignal) {
    this.#bench = bench;
    this.#hearer = hearer;
    this.#signal = signal;
  }

  /** What comes next is no smaller form of what failed. */
  anew(): void {
    this.#isSmaller = false;
  }

  readonly carryOut: TrySteps = async (steps) => {
    const { lane, lamp, simulated, seed } = this.#bench;
    if (this.#signal.aborted || this.#bench.isOver() || (lane.lost?.() ?? null) !== null)
      return null;
    const planned = plannedSteps([...steps, { hold: rest }], lamp);
    const [condition] = benchPlan(steps, this.#bench)?.conditions ?? [];
    if (!planned || !condition) return null;
    const seen = await observeSequence(planned, simulated, seed, this.#signal);
    if (!seen) return null;
    const foreseen = foreseenIn(seen);
    const reached = [...reachedIn(foreseen)];
    const why = whyNotOnRig(foreseen, this.#bench.terms) ?? this.#whyStale(reached);
    if (why !== null) {
      this.#hearer.leftOut(why);
      return null;
    }
    for (const one of reached) this.#reached.add(one);
    this.#stale = 0;
    const ended = await this.#onBench(condition);
    this.#hearer.tried(ended);
    const deviation = deviationOf(ended);
    if (deviation) this.#isSmaller = true;
    return { deviation, reached };
  };

  #whyStale(reached: readonly (string | number)[]): string | null {
    if (this.#isSmaller || reached.some((one) => !this.#reached.has(one))) return null;
    return this.#stale++ < mostStale ? 'it shows nothing new' : null;
  }

  async #onBench(condition: Condition): Promise<ConditionRecord> {
    const { lane, lamp, rig, seed, retries } = this.#bench;
    const position = ++this.#count;
    const task: ConditionTask = {
      ...{ spec: head.spec, condition, position, repeat: 0, lamp, rig },
      ...{ seed: (seed + position) | 0, lampSeed: seed, faults: [] },
    };
    const told = async ({ text }: { readonly text: string }): Promise<void> =>
      this.#hearer.benchError(text);
    return (await attempt(task, lane, this.#signal, retries, told)).condition;
  }
}

function foreseenIn({ heard, until, looks, step }: SeenSequence): Foreseen {
  return { heard, until, light: looks[0]?.currents ?? [], step };
}

function reachedIn({ heard, light, step }: Foreseen): Tried['reached'] {
  return reachedKinds(heard, (at) =>
    light.reduce((sum, one) => sum + (one[Math.floor(at / step)] ?? 0), 0),
  );
}

/** Only what fails: what is inconclusive, or where the bench erred, says nothing against the lamp. */
function deviationOf({ verdict, reason, findings }: ConditionRecord): Deviation | null {
  if (verdict !== 'fail') return null;
  const failed = findings.find((finding) => finding.verdict === 'fail');
  if (!failed) return { kind: 'breakdown', reason: reason ?? 'the lamp broke down' };
  return { kind: 'finding', what: whatOf(failed), reason: reasonOf(failed) };
}

function whatOf({ metric, evidence: { notes } }: Finding): string {
  if (metric === 'wrong-answers') return `answer to ${coarseCommand(String(notes['asked'] ?? ''))}`;
  const bright = Number(notes['found']) > Number(notes['allowed-to']);
  const command = coarseCommand(String(notes['command'] ?? ''));
  return `${bright ? 'too bright' : 'too dark'} after ${command || 'nothing'}`;
}

function reasonOf({ of, title, reason, evidence: { notes } }: Finding): string {
  const told = Object.entries(notes).map(([name, value]) => `${name} ${value}`);
  return `${title} of ${of}: ${reason ?? 'not kept'} (${told.join(', ')})`;
}
