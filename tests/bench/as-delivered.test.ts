import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import type { Lamp } from '../../harness/bench/lamp.ts';
import { readLamp } from '../../harness/bench/lamp-file.ts';
import { tellStory } from '../../harness/model/model-lamp.ts';
import { unmetNeed } from '../../harness/plan/unmet-need.ts';

const file = 'specs/lamps/alcove-6.lamp.yaml';
const text = readFileSync(file, 'utf8');
const written = /^as-delivered: .*$/m;

function lampWith(asDelivered: string): Lamp {
  const read = readLamp(text.replace(written, asDelivered), file);
  if ('lamp' in read) return read.lamp;
  throw new Error(read.issues.map(({ message }) => message).join('; '));
}

function issuesWith(asDelivered: string): string {
  const read = readLamp(text.replace(written, asDelivered), file);
  return 'lamp' in read ? '' : read.issues.map(({ message }) => message).join('; ');
}

const query = { kind: 'dali', at: 2, frame: [0x0b, 0xa3] } as const;

describe('what a lamp keeps as it is delivered', () => {
  it('is what its model begins with', () => {
    const lamp = lampWith(
      'as-delivered: { level: 10 %, mix: accent, power-on: 100 %, system-failure: 1 % }',
    );
    const story = tellStory(lamp, [query], 3);
    expect(story.levelAt('red', 1).high).toBeCloseTo(0.1 * 0.65 * 1.055, 3);
    expect(story.levelAt('cool', 1).high).toBeLessThan(1e-3);
    expect(story.answers[0]?.oneOf).toEqual([{ byte: 254 }]);
  });

  it('leaves open what power brings back where its file does not say', () => {
    const lamp = lampWith('');
    const story = tellStory(lamp, [query], 3);
    expect(story.levelAt('red', 1).high).toBeLessThan(1e-3);
    expect(story.answers[0]?.oneOf).toEqual(expect.arrayContaining([{ byte: 254 }, { byte: 255 }]));
  });

  it('is known from the first line that says level and mix', () => {
    const lamp = lampWith('');
    const line = { kind: 'console', at: 1, line: 'dim 50 mix 100 100 100 100 100 100' } as const;
    const story = tellStory(lamp, [line], 3);
    expect(story.levelAt('red', 2).low).toBeGreaterThan(0.45);
    expect(story.levelAt('red', 2).high).toBeLessThan(0.55);
  });

  it('decides whether a claim about returning power makes sense', () => {
    const needs = { 'power-on': 'last' } as const;
    expect(
      unmetNeed(needs, lampWith('as-delivered: { level: 0 %, mix: all, power-on: last }')),
    ).toBeNull();
    expect(
      unmetNeed(needs, lampWith('as-delivered: { level: 0 %, mix: all, power-on: 100 % }')),
    ).toContain('100 %');
    expect(unmetNeed(needs, lampWith(''))).toBeNull();
  });

  it.each([
    ['as-delivered: { level: 0 %, mix: acent, power-on: last }', 'accent'],
    ['as-delivered: { level: 120 %, mix: all, power-on: last }', '120 %'],
    ['as-delivered: { level: 0 %, mix: all, power-on: sometimes }', 'last'],
  ])('is refused as %s', (asDelivered, words) => {
    expect(issuesWith(asDelivered)).toContain(words);
  });
});
