import { describe, expect, it } from 'vitest';
import type { Lamp } from '../../harness/bench/lamp.ts';
import { type Expectation, expectationText, matches } from '../../harness/plan/expectation.ts';
import { readSpec } from '../../harness/spec-language/spec-file.ts';
import { shippedLamp } from '../spec-language/shipped-lamp.ts';

const alcove = shippedLamp('alcove-6');
const { console } = alcove.links;
if (!console) throw new Error('Alcove-6 has a console');
const talking: Lamp = {
  ...alcove,
  links: { ...alcove.links, console: { ...console, answers: { board: 'board {number} °C' } } },
};

function read(step: string) {
  const text = `spec: x
claim: It does.
conditions: { least: [20] }
stimulus:
  - ${step}
  - send: { dali: query-min, expect: $least }
  - hold: 1 s
`;
  return readSpec(text, { file: 'x', folder: 'x', digest: '0', lamp: talking });
}

function expectationOf(step: string): Expectation {
  const one = read(step);
  if ('issues' in one) throw new Error(one.issues.map(({ message }) => message).join('; '));
  const [first] = one.plan.conditions[0]?.stimulus ?? [];
  if (first?.verb !== 'send' || !first.expect) throw new Error('a send with an answer expected');
  return first.expect;
}

const query = (expected: string) =>
  expectationOf(`send: { dali: query-actual-level, expect: ${expected} }`);
const temperature = (expected: string) =>
  expectationOf(`send: { console: temp, expect: ${expected} }`);

describe('an answer of several', () => {
  it.each([
    ['[254, 255]', 254, true],
    ['[254, 255]', 255, true],
    ['[254, 255]', 253, false],
    ['[0x10, yes]', 0xff, true],
    ['{ between: [10, 20] }', 10, true],
    ['{ between: [10, 20] }', 20, true],
    ['{ between: [10, 20] }', 9, false],
    ['{ between: [10, 20] }', 21, false],
    ['{ between: [$least, 30] }', 19, false],
    ['{ at-least: 200 }', 200, true],
    ['{ at-least: 200 }', 199, false],
    ['{ at-most: 3 }', 4, false],
  ] as const)('%s: byte %i is right: %s', (written, byte, right) => {
    expect(matches(query(written), { byte })).toBe(right);
  });

  it('may be silence, where that is one of them', () => {
    expect(matches(query('[254, silence]'), null)).toBe(true);
    expect(matches(query('[254, 255]'), null)).toBe(false);
    expect(matches(query('{ between: [0, 255] }'), null)).toBe(false);
  });

  it.each([
    ['[ok, understood, fine]', ' fine ', true],
    ['[ok, fine]', 'well', false],
    ['{ between: [20, 30] }', 'T = 24.5 °C, 3 channels', true],
    ['{ between: [20, 30] }', 'T = 34.5 °C', false],
    ['{ between: [20, 30] }', 'warm', false],
    ['{ between: [-5, 5] }', '-4.9', true],
    ['{ line: "T = {number} °C", at-most: 30 }', 'T = 29 °C', true],
    ['{ line: "T = {number} °C", at-most: 30 }', 'T = 31 °C', false],
    ['{ line: "T = {number} °C", at-most: 30 }', 'U = 29 °C', false],
    ['{ line: "{text}(v{number})", at-least: 2 }', 'alcove (v2.1)', true],
    ['{ line: "{text}(v{number})", at-least: 2 }', 'alcove v2.1', false],
    ['{ answer: board, between: [10, 60] }', 'board 25.0 °C', true],
    ['{ answer: board, between: [10, 60] }', '25.0', false],
  ] as const)('%s: the line “%s” is right: %s', (written, text, right) => {
    expect(matches(temperature(written), { text })).toBe(right);
  });

  it('says what it is', () => {
    expect(expectationText(query('[254, silence]'))).toBe('0xfe or silence');
    expect(expectationText(query('{ between: [10, 20] }'))).toBe('10 … 20');
    expect(expectationText(temperature('{ line: "T={number}", at-most: 5 }'))).toBe(
      '“T={number}” with at most 5',
    );
  });
});

it.each([
  ['dali: query-min, expect: {}', /expected the bounds of the answer .* found none/],
  ['dali: query-min, expect: { between: [1, 2], at-most: 3 }', /found between and another one/],
  ['dali: query-min, expect: { between: [20, 10] }', /the lower figure first, found 20 and 10/],
  ['dali: query-min, expect: { at-most: 256 }', /whole number from 0 to 255, found 256/],
  ['dali: query-min, expect: [254, 300]', /whole number from 0 to 255, found 300/],
  ['dali: query-min, expect: { at-most: 3, line: "{number}" }', /line goes with a console/],
  ['console: temp, expect: { at-most: 30 °C }', /figure without a unit, found "30 °C"/],
  ['console: temp, expect: { at-most: 30, line: "°C" }', /expected \{number\} once in the line/],
  [
    'console: temp, expect: { at-most: 30, answer: bord }',
    /no answer "bord"; did you mean "board"/,
  ],
  [
    'console: temp, expect: { at-most: 30, answer: board, line: "{number}" }',
    /answer goes without line/,
  ],
] as const)('{ %s } is an issue', (step, message) => {
  const one = read(`send: { ${step} }`);
  expect('issues' in one ? one.issues.map((own) => own.message).join() : 'none').toMatch(message);
});
