import { type Apart, lightApart } from './light-apart.ts';
import type { CaptureRecord, RunRecord } from './run-record.ts';

type ConditionRecord = RunRecord['specs'][number]['conditions'][number];
type CommandRecord = ConditionRecord['commands'][number];

/** A run with its captures. */
export interface RunToCompare {
  readonly record: Pick<RunRecord, 'specs'>;
  /** The samples of a capture of it, in the capture's unit. */
  readonly samples: (capture: CaptureRecord) => Promise<Float64Array>;
}

/** A signal that two runs recorded under the same commands, and that is not the same. */
export interface SignalChange extends Apart {
  readonly signal: string;
  readonly of: string;
  readonly unit: string;
  /** The last command before that instant; null before the first. */
  readonly after: string | null;
}

/** A command that was answered in two ways. */
export interface AnswerChange {
  /** s */
  readonly at: number;
  readonly command: string;
  readonly a: string | null;
  readonly b: string | null;
}

/** What differs in a condition that both runs had. */
export interface ConditionChange {
  readonly spec: string;
  readonly condition: string;
  readonly repeat: number;
  /** The most first. */
  readonly signals: readonly SignalChange[];
  readonly answers: readonly AnswerChange[];
}

export interface LightComparison {
  /** Conditions that both runs had with the same commands and comparable captures. */
  readonly compared: number;
  /** Conditions of either run that could not be held against the other's. */
  readonly left: number;
  readonly changes: readonly ConditionChange[];
}

/**
 * What a lamp did in another way than in an earlier run under the same commands, whatever the claims say of it. Captures are held against
 * each other by their ids. Rejects where `samples` does.
 */
export async function compareLight(a: RunToCompare, b: RunToCompare): Promise<LightComparison> {
  const before = conditionsOf(a);
  const after = conditionsOf(b);
  const changes: ConditionChange[] = [];
  let compared = 0;
  for (const [name, own] of after) {
    const old = before.get(name);
    if (!old || !sameCommands(old.condition, own.condition)) continue;
    const pairs = pairsOf(old.condition, own.condition);
    if (pairs.length === 0) continue;
    compared++;
    const signals: SignalChange[] = [];
    for (const pair of pairs) {
      const change = await signalChange(pair, { a, b }, own.condition);
      if (change) signals.push(change);
    }
    const answers = answerChanges(old.condition, own.condition);
    if (signals.length + answers.length === 0) continue;
    const { key: condition, repeat } = own.condition;
    changes.push({ spec: own.spec, condition, repeat, signals: mostFirst(signals), answers });
  }
  const all = new Set([...before.keys(), ...after.keys()]).size;
  return { compared, left: all - compared, changes };
}

interface OfSpec {
  readonly spec: string;
  readonly condition: ConditionRecord;
}

function conditionsOf({ record }: RunToCompare): ReadonlyMap<string, OfSpec> {
  return new Map(
    record.specs.flatMap(({ spec, conditions }) =>
      conditions.map((condition) => {
        const { key, repeat } = condition;
        return [JSON.stringify([spec, key, repeat]), { spec, condition }] as const;
      }),
    ),
  );
}

/** Instants may differ: on a rig, and where an answer came later. */
function sameCommands({ commands: one }: ConditionRecord, { commands: other }: ConditionRecord) {
  return one.length === other.length && one.every((own, k) => isLike(own, other[k]));
}

function isLike(one: CommandRecord, other: CommandRecord | undefined): boolean {
  return one.link === other?.link && one.verb === other.verb && one.text === other.text;
}

type Pair = readonly [CaptureRecord, CaptureRecord];

function pairsOf(one: ConditionRecord, other: ConditionRecord): readonly Pair[] {
  return one.captures.flatMap((own): Pair[] => {
    const same = other.captures.find(({ id }) => id === own.id);
    const comparable = same?.rate === own.rate && same.unit === own.unit;
    return same && comparable && Math.abs(same.start - own.start) * own.rate < 1
      ? [[own, same]]
      : [];
  });
}

async function signalChange(
  [before, after]: Pair,
  { a, b }: { readonly a: RunToCompare; readonly b: RunToCompare },
  { commands }: ConditionRecord,
): Promise<SignalChange | null> {
  const [old, own] = [await a.samples(before), await b.samples(after)];
  const records = { a: old, b: own, interval: 1 / after.rate, start: after.start };
  const apart = lightApart(records);
  if (!apart) return null;
  const last = commands.findLast(({ at }) => at <= apart.at);
  const { signal, of, unit } = after;
  return { ...apart, signal, of, unit, after: last ? wordsOf(last) : null };
}

function answerChanges(one: ConditionRecord, other: ConditionRecord): readonly AnswerChange[] {
  return other.commands.flatMap((own, k): AnswerChange[] => {
    const old = one.commands[k]?.reply ?? null;
    if (old === own.reply) return [];
    return [{ at: own.at, command: wordsOf(own), a: old, b: own.reply }];
  });
}

function wordsOf({ link, verb, text }: CommandRecord): string {
  return `${link} ${verb} ${text}`.trim();
}

function mostFirst(changes: readonly SignalChange[]): SignalChange[] {
  const share = ({ a, b, highest }: SignalChange) => Math.abs(b - a) / highest;
  return changes.toSorted((one, other) => share(other) - share(one));
}
