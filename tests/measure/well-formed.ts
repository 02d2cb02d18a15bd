import { expect } from 'vitest';
import type { Metric } from '../../harness/measure/metric.ts';
import type { Observation } from '../../harness/measure/observation.ts';
import type { Measured, NotMeasurable, Outcome } from '../../harness/measure/outcome.ts';

/**
 * The outcome, once it is sure that every room can use it: contributions and notes have names, charts have lines, and what is
 * asked for without evidence, as the uncertainty does, is the same figure.
 */
export function wellFormed(metric: Metric, observation: Observation): Outcome {
  const outcome = metric.compute(observation);
  if (!outcome.measured) {
    checkRefusal(outcome);
    return outcome;
  }
  checkBudget(outcome);
  checkEvidence(outcome);
  const bare = metric.compute(observation, { evidence: false });
  // Most leave floor and contributions out then: nobody reads them of a disturbed record.
  expect(bare).toMatchObject({ measured: true, value: outcome.value, evidence: { charts: [] } });
  return outcome;
}

/** The well-formed value of an observation that has one. */
export function found(metric: Metric, observation: Observation): Measured {
  const outcome = wellFormed(metric, observation);
  if (!outcome.measured) throw new Error(JSON.stringify(outcome));
  return outcome;
}

/** Why an observation has none. */
export function refused(metric: Metric, observation: Observation): NotMeasurable {
  const outcome = wellFormed(metric, observation);
  if (outcome.measured) throw new Error(`measured: ${outcome.value}`);
  return outcome;
}

/** Reasons that are about a figure, and so say what was found and what would do. */
const ofFigures: readonly string[] = ['too-short', 'too-slow', 'too-narrow'];

/** Whoever reads it knows what to do: figures come with the figure that would do and its unit, other reasons with words. */
function checkRefusal({ reason, found, needed, unit, note }: NotMeasurable): void {
  if (note !== undefined) expect(note).toMatch(/\w/);
  if (ofFigures.includes(reason)) expect(needed, reason).toEqual(expect.any(Number));
  if (needed === undefined) return;
  expect(unit, reason).toMatch(/./);
  expect(found, reason).toEqual(expect.any(Number));
}

function checkBudget({ value, contributions, floor = 0 }: Measured): void {
  expect(value).toEqual(expect.any(Number));
  expect(floor).toEqual(expect.any(Number));
  for (const { name, standard } of contributions) {
    expect(name).toMatch(/\w/);
    expect(standard).toBeGreaterThanOrEqual(0);
  }
}

function checkEvidence({ evidence: { charts, notes } }: Measured): void {
  for (const [name, note] of Object.entries(notes)) {
    expect(name).toMatch(/\w/);
    expect(note).not.toBe('');
    expect(note).toBeDefined();
  }
  for (const { title, x, y, lines, marks } of charts) {
    for (const text of [title, x.label, y.label]) expect(text).toMatch(/\w/);
    expect(lines.length).toBeGreaterThan(0);
    for (const line of lines) {
      expect(line.name).toMatch(/\w/);
      expect(line.x.length).toBe(line.y.length);
    }
    for (const { at, label } of marks) {
      expect(at).toEqual(expect.any(Number));
      expect(label).toMatch(/\w/);
    }
  }
}
