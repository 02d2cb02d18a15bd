import { describe, expect, it } from 'vitest';
import type { Lamp } from '../../harness/bench/lamp.ts';
import { schedule } from '../../harness/plan/schedule.ts';
import type { Step } from '../../harness/plan/verbs/verbs.ts';
import { shippedLamp } from '../spec-language/shipped-lamp.ts';

const alcove = shippedLamp('alcove-6');
const { dali } = alcove.links;
const daliAlone: Lamp = { ...alcove, links: dali ? { dali } : {} };

const set = (link?: string): Step => ({
  verb: 'set',
  level: 1,
  mix: { name: 'all' },
  ...(link !== undefined && { link }),
});
const end = (steps: readonly Step[], lamp: Lamp): number => schedule(steps, lamp).duration;

describe('a step that names no link', () => {
  it('takes the time of the link that it goes over', () => {
    expect(end([set()], daliAlone)).toBe(end([set('dali')], daliAlone));
    expect(end([set()], daliAlone)).toBeGreaterThan(0.1);
    expect(end([set()], alcove)).toBe(0);
  });

  it('makes a storm last as long as its link takes for each setting', () => {
    const storm: Step = { verb: 'random', commands: 10, every: 0.02 };
    expect(end([storm], alcove)).toBeCloseTo(0.2, 9);
    expect(end([storm], daliAlone)).toBeCloseTo(10 * end([set('dali')], daliAlone), 9);
  });
});
