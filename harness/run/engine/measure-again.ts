import { captureFile } from '../../plan/captures/capture-id.ts';
import { captureOfMeasurement, measurementsOf } from '../../record/measurements.ts';
import type { ConditionRecord } from '../../record/run-record.ts';
import type { Looks } from '../../verdict/looks.ts';
import { repeatedCondition, wantsAnother } from '../judge/repeated-condition.ts';
import type { ConditionResult, ConditionTask } from './lane.ts';
import { seedOf } from './seed.ts';

/** Who measures a condition once, and who keeps what is known of it between two measurements. */
export interface Measuring {
  /** Null where the measurement was cut off. */
  measure(task: ConditionTask): Promise<ConditionResult | null>;
  /** The condition so far, with what was captured of it last; resolves when that is stored. */
  keep(soFar: ConditionResult): Promise<void>;
}

/**
 * Measures a condition, and again while it is inconclusive and another measurement may decide it, as often as `looks` allows. Every
 * measurement counts: none is left out for what it found. A bench that breaks in a later measurement ends the repeating, and what was
 * measured before stands.
 *
 * @param begun the condition as far as an earlier run has measured it, or null
 * @returns null where it was cut off; what was kept then stands
 */
export async function measureUntilDecided(
  task: ConditionTask,
  begun: ConditionRecord | null,
  looks: Looks,
  { measure, keep }: Measuring,
): Promise<ConditionResult | null> {
  const all = begun ? [...measurementsOf(begun)] : [];
  const known = all.length;
  let soFar: ConditionResult | null = begun && { condition: begun, captures: new Map() };
  while (!soFar || wantsAnother(soFar.condition, looks)) {
    // What an earlier run has measured is in the store.
    if (soFar && all.length > known) await keep(soFar);
    const result = await measure(taskOfMeasurement(task, all.length + 1));
    if (!result) return null;
    if (soFar && benchBroke(result.condition)) return stopped(soFar.condition, result.condition);
    const own = asMeasurement(result, task, all.length + 1);
    all.push(own.condition);
    soFar = { condition: repeatedCondition(all, looks), captures: own.captures };
  }
  return soFar;
}

/** The task of a measurement, counted from 1: on the simulated lamp each has noise of its own. */
export function taskOfMeasurement(task: ConditionTask, number: number): ConditionTask {
  if (number === 1) return task;
  return { ...task, measurement: number, seed: seedOf(task.seed, 'measurement', number) };
}

/** An error without findings says nothing of the lamp. */
function benchBroke({ verdict, findings }: ConditionRecord): boolean {
  return verdict === 'error' && findings.length === 0;
}

function stopped(condition: ConditionRecord, { reason }: ConditionRecord): ConditionResult {
  const why = `measuring it again ended in a bench error: ${reason ?? 'no reason given'}`;
  const told = { ...condition, reason: [condition.reason, why].filter(Boolean).join('; ') };
  return { condition: told, captures: new Map() };
}

/** A result with captures of its own names, which its findings and readings go by. */
function asMeasurement(
  { condition, captures }: ConditionResult,
  { position }: ConditionTask,
  number: number,
): ConditionResult {
  if (number === 1) return { condition, captures };
  const named = (id: string): string => captureOfMeasurement(id, number);
  return {
    condition: {
      ...condition,
      captures: condition.captures.map((capture) => ({
        ...capture,
        id: named(capture.id),
        file: captureFile(position, named(capture.id)),
      })),
      ...(condition.readings && {
        readings: condition.readings.map((one) => ({ ...one, capture: named(one.capture) })),
      }),
      findings: condition.findings.map((finding) => ({
        ...finding,
        captures: finding.captures.map(named),
      })),
    },
    captures: new Map([...captures].map(([id, raw]) => [named(id), raw])),
  };
}
