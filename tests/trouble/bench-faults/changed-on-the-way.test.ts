import { describe, expect, it } from 'vitest';
import { runClaims, storyOf, verdictsOf } from './run-claims.ts';

const patience = { timeout: 90_000 };

const dims = (link: string) => `spec: dims
claim: The lamp dims to half.
stimulus:
  - set: { level: 100 %, mix: all, link: ${link} }
  - hold: 600 ms
  - mark: full
  - hold: 500 ms
  - mark: turning
  - set: { level: 50 %, link: ${link} }
  - hold: 600 ms
  - mark: half
  - hold: 500 ms
capture:
  - { signal: light, of: light, rate: 5 kHz }
criteria:
  - { metric: level-ratio, of: light, during: half, reference: full, target: 50 %, tolerance: ± 10 % }
`;

const asks = (send: string) => `spec: asks
claim: The lamp answers as it should.
stimulus:
  - set: { level: 100 %, mix: all }
  - hold: 300 ms
  - mark: lit
  - hold: 300 ms
  - send: ${send}
  - hold: 200 ms
capture:
  - { signal: light, of: light, rate: 5 kHz }
criteria:
  - { metric: blackouts, of: light, during: lit, at-most: 0 }
`;

const speaks = `spec: speaks
claim: The lamp says that it does not know a word.
stimulus:
  - send: { console: "nonsense", expect: "no unknown command" }
  - hold: 300 ms
`;

const silent = asks('{ dali: query-missing-short-address, expect: silence }');
const level = asks('{ dali: query-actual-level, expect: 254 }');

describe.concurrent('what is changed on its way to the lamp, or from it', () => {
  it.each([
    [
      'a digit of each command',
      dims('console'),
      'lost-digit,on=console',
      /says that the lamp had level/,
    ],
    ['frames that set a level', dims('dali'), 'lost-frames,on=dali', /./],
    ['capitals', speaks, 'capitals,on=console', /the same but for capitals/],
    [
      'an answer that is made up',
      silent,
      'answers-made-up,on=dali',
      /0xff came where nobody answers/,
    ],
    [
      'a bit of each answer',
      level,
      'turned-answers,on=dali',
      /was written into DTR0 .* read back as/,
    ],
  ])('%s: never the lamp', patience, async (what, spec, trouble, why) => {
    const found = await runClaims(spec, [trouble]);
    expect(verdictsOf(found), storyOf(found)).not.toContain('fail');
    if (what.startsWith('frames')) return;
    expect(verdictsOf(found), storyOf(found)).toEqual(['error']);
    expect(found[0]!.reason).toMatch(why);
  });

  it.each([
    ['console', dims('console')],
    ['dali', dims('dali')],
    ['words', speaks],
    ['silence', silent],
    ['level', level],
  ])('a sound line is believed: %s', patience, async (_, spec) => {
    const found = await runClaims(spec, []);
    expect(verdictsOf(found), storyOf(found)).toEqual(['pass']);
  });

  it('a lamp that answers wrongly fails', patience, async () => {
    const wrong = asks('{ dali: query-missing-short-address, expect: 0xff }');
    const found = await runClaims(wrong, []);
    expect(verdictsOf(found), storyOf(found)).toEqual(['fail']);
  });
});
