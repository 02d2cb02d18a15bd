import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { readProfile } from '../../../drivers/scpi/read-profile.ts';

/** A shipped profile with one change. */
function issuesOf(name: string, change: (text: string) => string): string[] {
  const text = readFileSync(`specs/rigs/${name}.profile.yaml`, 'utf8');
  const read = readProfile(change(text), name);
  return 'issues' in read ? read.issues.map(({ message }) => message) : [];
}

describe('ends of ranges in a profile', () => {
  it.each([
    [
      'tarn-d16',
      'scale: { scale: 1, lowest: 100, highest: -100 }',
      /lower end \(100\), found -100/,
    ],
    ['tarn-t80', 'lowest: 80 °C\nhighest: -40 °C', /lower end \(80 °C\), found -40 °C/],
  ])('%s: the upper one lies above the lower one', (name, lines, words) => {
    const without = (text: string) => text.replace(/^(lowest|highest):.*\n/gm, '');
    expect(issuesOf(name, (text) => `${without(text)}\n${lines}\n`).join()).toMatch(words);
    expect(issuesOf(name, (text) => text)).toEqual([]);
  });

  it('an integration time may be fixed, but not run backwards', () => {
    const to = (longest: string) => (text: string) =>
      text.replace('longest-integration: 10 s', `longest-integration: ${longest}`);
    expect(issuesOf('tarn-c3', to('1 ms'))).toEqual([]);
    expect(issuesOf('tarn-c3', to('0.1 ms')).join()).toMatch(/expected more than the lower end/);
  });
});
