import { describe, expect, it } from 'vitest';
import { linkOf } from '../../harness/explore/link-of.ts';

describe('the link of a sequence', () => {
  it.each([
    ['console', [{ set: { level: '1 %', link: 'console' } }, { hold: '1 s' }]],
    ['dali', [{ supply: { output: 'on' } }, { send: { dali: 'off' } }]],
    ['none', [{ supply: { output: 'off' } }, { carry: { link: 'dmx', on: false } }]],
  ])('is %s', (link, steps) => {
    expect(linkOf(steps)).toBe(link);
  });

  it.each([
    [[{ send: { console: 'off' } }, { hold: '1 s' }, { send: { dali: 'off' } }]],
    [[{ fade: { level: '1 %', link: 'dmx' } }, { set: { level: '1 %', link: 'sacn' } }]],
    [[{ noise: { link: 'console', bytes: 3 } }, { white: { temperature: '3000 K' } }]],
  ])('is mixed where several speak', (steps) => {
    expect(linkOf(steps)).toBe('mixed');
  });

  it('is not that of a stream that stops before a rest', () => {
    const steps = [
      { carry: { link: 'dmx', on: false } },
      { fade: { level: '1 %', link: 'console' } },
    ];
    expect(linkOf(steps)).toBe('console');
  });
});
