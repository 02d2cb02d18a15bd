import { describe, expect, it } from 'vitest';
import type { ConditionRecord } from '../../../harness/record/run-record.ts';
import { runClaims, storyOf, verdictsOf } from './run-claims.ts';

/** Levels, a fade and a loss of power over one link, held against the lamp model by the real drivers. */
const spec = (link: string, last = ''): string => `spec: as-modelled
claim: The lamp does as its model says.
stimulus:
  - hold: 200 ms
  - set: { level: 100 %, mix: all, link: ${link} }
  - hold: 200 ms
  - mark: full
  - hold: 300 ms
  - mark: held
  - set: { level: 60 %, mix: all, link: ${link} }
  - hold: 300 ms
  - fade: { level: 10 %, mix: all, over: 1 s, link: ${link} }
  - hold: 1.3 s
  - set: { level: 80 %, link: ${link} }
  - hold: 700 ms${last}
capture:
  - { signal: channel-current, of: warm, rate: 10 kHz }
criteria:
  - { metric: time-outside-model, of: warm, during: held, reference: full, at-most: 20 ms }
  - { metric: wrong-answers, at-most: 0 }
`;

const patience = { timeout: 90_000 };

const kindsOf = ([condition]: readonly ConditionRecord[]): readonly string[] =>
  condition?.heard?.[0]?.heard.map(({ kind }) => kind) ?? [];

describe('a rig tells what it sent, and its lamp is held against the model', () => {
  it.each(['console', 'dali', 'sacn'])(
    'a sound lamp does not fail over %s',
    patience,
    async (link) => {
      const found = await runClaims(spec(link), []);
      // A busy computer may leave it open.
      expect(verdictsOf(found), storyOf(found)).not.toContain('fail');
      expect(storyOf(found)).toMatch(/time-outside-model [\d.e-]+ .*wrong-answers 0 ± 0 pass/);
      expect(kindsOf(found)).toContain(link);
      expect(kindsOf(found)).toContain('supply');
    },
  );

  it('a lamp that cuts half of its fade off fails', patience, async () => {
    const faults = [{ fault: 'fade-cut-short', size: 0.5 }];
    const found = await runClaims(spec('console'), [], { faults });
    expect(verdictsOf(found), storyOf(found)).toEqual(['fail']);
  });

  it('knows of a supply that comes and goes', patience, async () => {
    const last =
      '\n  - supply: { output: off }\n  - hold: 1 s\n  - supply: { output: on }\n  - hold: 1.5 s';
    const found = await runClaims(spec('console', last), []);
    expect(verdictsOf(found), storyOf(found)).not.toContain('fail');
    expect(kindsOf(found).filter((kind) => kind === 'supply').length).toBeGreaterThan(3);
  });
});
