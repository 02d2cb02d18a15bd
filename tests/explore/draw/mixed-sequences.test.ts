import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { sequences } from '../../../harness/explore/draw/sequences.ts';
import { linkOf } from '../../../harness/explore/link-of.ts';
import { shippedLamp } from '../../spec-language/shipped-lamp.ts';

const lamp = shippedLamp('alcove-6');
const drawn = (links: Partial<typeof lamp.links>) =>
  fc.sample(sequences({ ...lamp, links }), { seed: 3, numRuns: 1000 });
const linksIn = (text: string) =>
  ['console', 'dali', 'dmx', 'sacn'].filter((own) => text.includes(`"${own}"`));

describe('drawn sequences', () => {
  const all = drawn(lamp.links);

  it('are of links that take turns about once in four or five, the others of each link alone', () => {
    const count = (link: string) => all.filter((steps) => linkOf(steps) === link).length;
    expect(count('mixed')).toBeGreaterThan(170);
    expect(count('mixed')).toBeLessThan(280);
    for (const link of ['console', 'dali', 'dmx', 'sacn']) expect(count(link)).toBeGreaterThan(80);
  });

  it('have every pair of links, streams that stop and the supply among those of several', () => {
    const mixed = all
      .filter((steps) => linkOf(steps) === 'mixed')
      .map((own) => JSON.stringify(own));
    const pairs = new Set(mixed.map((text) => linksIn(text).join()));
    for (const pair of [
      'console,dali',
      'console,dmx',
      'console,sacn',
      'dali,dmx',
      'dali,sacn',
      'dmx,sacn',
    ])
      expect([...pairs].some((own) => pair.split(',').every((link) => own.includes(link)))).toBe(
        true,
      );
    expect(mixed.some((text) => text.includes('"on":false'))).toBe(true);
    expect(mixed.some((text) => text.includes('"supply"'))).toBe(true);
  });

  it('are of its one link for a lamp that has one', () => {
    const { dali } = lamp.links;
    const links = new Set(drawn(dali ? { dali } : {}).map(linkOf));
    expect([...links].sort()).toEqual(['dali', 'none']);
  });
});
