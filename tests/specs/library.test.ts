import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { fadeTimeCode } from '../../drivers/dali/levels.ts';
import { faults } from '../../drivers/plant/faults/faults.ts';
import { driverSettings } from '../../drivers/registry.ts';
import { readRig } from '../../harness/bench/rig-file.ts';
import { readRequirements } from '../../harness/cli/authoring/read-requirements.ts';
import { unmetNeed } from '../../harness/plan/unmet-need.ts';
import { preflight } from '../../harness/preflight/preflight.ts';
import { readSpecs } from '../../harness/workflow/inputs/read-specs.ts';
import { shippedLamp, specsFolder } from '../spec-language/shipped-lamp.ts';

const lamps = ['alcove-1', 'alcove-6', 'alcove-9', 'alcove-pwm'].map(shippedLamp);
const read = lamps.map((lamp) => ({ lamp, ...readSpecs([specsFolder], lamp, '/') }));
const library = read[0]!.plans;
const text = (name: string): string => readFileSync(join(specsFolder, name), 'utf8');

/**
 * Claims that no seeded fault of the plant is named for, and why they are kept. Whoever seeds the fault moves the claim
 * into its `caughtBy`.
 */
const unchallenged: Readonly<Record<string, string>> = {};

const tags = new Set(['commit', 'nightly', 'release', 'flashing']);

describe('the spec library', () => {
  for (const { lamp, plans, issues } of read) {
    test(`is read without an issue for ${lamp.lamp}`, () => {
      expect(issues).toEqual([]);
      expect(plans.length).toBe(library.length);
    });
  }

  test('is a library: at least 45 claims', () => {
    expect(library.length).toBeGreaterThanOrEqual(45);
  });

  test('runs each claim on at least one of the shipped lamps', () => {
    const never = library.filter(({ needs }) => lamps.every((lamp) => unmetNeed(needs, lamp)));
    expect(never.map(({ spec }) => spec)).toEqual([]);
  });

  test('asks of a lamp with DALI alone no fade time that DALI has not', () => {
    const [lamp] = lamps.filter(({ lamp: own }) => own === 'alcove-6');
    const alone = { ...lamp!, links: { dali: lamp!.links.dali! } };
    const { plans } = readSpecs([specsFolder], alone, '/');
    const without = plans
      .filter(({ needs }) => unmetNeed(needs, alone) === null)
      .filter(({ conditions }) =>
        conditions.some(({ stimulus }) =>
          stimulus.some((step) => step.verb === 'fade' && fadeTimeCode(step.over) === null),
        ),
      );
    expect(without.map(({ spec }) => spec)).toEqual([]);
  });

  test('looks at levels and fades of slots where a lamp has one of the two links with slots', () => {
    const [lamp] = lamps.filter(({ lamp: own }) => own === 'alcove-6');
    const { sacn: _, ...links } = lamp!.links;
    const { plans } = readSpecs([specsFolder], { ...lamp!, links }, '/');
    const plan = (id: string) => plans.find(({ spec }) => spec === id)!;
    for (const id of [
      'slot-levels',
      'slots-fade',
      'slots-fade-dark',
      'slots-crossfade',
      'latency',
    ]) {
      expect(unmetNeed(plan(id).needs, { ...lamp!, links }), id).toBeNull();
      const over = plan(id).conditions.map(({ values }) => values['link']);
      expect(over, id).toContain('dmx');
      expect(over, id).not.toContain('sacn');
    }
  });

  test('can be proved on the simulated rig, claim by claim, for every lamp', () => {
    const rigRead = readRig(text('rigs/simulated.rig.yaml'), 'simulated.rig.yaml', driverSettings);
    if (!('rig' in rigRead)) throw new Error('the simulated rig has issues');
    for (const { lamp, plans } of read) {
      const doubts = plans.flatMap((plan) => preflight(plan, rigRead.rig, lamp, '2026-06-01'));
      expect(doubts, lamp.lamp).toEqual([]);
    }
  });

  test('names its schema in the first line of every file, for completion in editors', () => {
    for (const { file } of library)
      expect(readFileSync(file, 'utf8').split('\n')[0], file).toBe(
        '# yaml-language-server: $schema=../schemas/spec.schema.json',
      );
  });

  test('selects by the four known tags, and every claim is part of the night', () => {
    for (const { spec, tags: own } of library) {
      expect(
        own.filter((tag) => !tags.has(tag)),
        spec,
      ).toEqual([]);
      expect(own, spec).toContain('nightly');
    }
  });

  test('traces every claim to a requirement of the list', () => {
    const known = readRequirements(text('requirements.csv'), 'requirements.csv').map(
      ({ id }) => id,
    );
    for (const { spec, traces } of library) {
      expect(traces.length, spec).toBeGreaterThan(0);
      expect(
        traces.filter((id) => !known.includes(id)),
        spec,
      ).toEqual([]);
    }
  });

  test('gives where each figure comes from, in a comment beside its criteria', () => {
    for (const { file, spec } of library) {
      const source = readFileSync(file, 'utf8');
      const body = source.slice(source.indexOf('\nstimulus:'));
      const judged = /\n\s+- \{ metric:/.test(body);
      if (judged) expect(body, spec).toMatch(/\n\s+# /);
    }
  });
});

describe('the seeded faults', () => {
  const ids = library.map(({ spec }) => spec);

  test('name claims that exist, and each at least one', () => {
    for (const { id, caughtBy } of faults) {
      expect(caughtBy.length, id).toBeGreaterThan(0);
      expect(
        caughtBy.filter((spec) => !ids.includes(spec)),
        id,
      ).toEqual([]);
    }
  });

  test('can each be had by one of the lamps that they are tried on', () => {
    const tried = ['alcove-6', 'alcove-1', 'alcove-pwm'].map(shippedLamp);
    for (const { id, needs } of faults)
      expect(
        tried.some((lamp) => unmetNeed(needs ?? {}, lamp) === null),
        id,
      ).toBe(true);
  });

  test('put every claim to the test, but for those with a reason', () => {
    const named = new Set(faults.flatMap(({ caughtBy }) => caughtBy));
    const without = ids.filter((spec) => !named.has(spec)).sort();
    expect(without).toEqual(Object.keys(unchallenged).sort());
  });
});
