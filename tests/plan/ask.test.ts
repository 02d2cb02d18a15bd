import { expect, it } from 'vitest';
import { CommandedLight } from '../../harness/plan/commanded.ts';
import { readSpec } from '../../harness/spec-language/spec-file.ts';
import { shippedLamp } from '../spec-language/shipped-lamp.ts';

const lamp = shippedLamp('alcove-6');

function read(step: string, own = lamp) {
  const text = `spec: x
claim: It does.
stimulus:
  - ask: ${step}
  - send: { dali: query-gear-present, expect: yes }
capture: []
criteria: []
`;
  return readSpec(text, { file: 'x', folder: 'x', digest: '0', lamp: own });
}

const issueOf = (step: string, own = lamp): string => {
  const one = read(step, own);
  return 'issues' in one ? one.issues.map(({ message }) => message).join('\n') : '';
};

const stepOf = (step: string) => {
  const one = read(step);
  return 'plan' in one ? one.plan.conditions[0]?.stimulus[0] : one.issues;
};

it('takes what the lamp file says, in SI', () => {
  expect(stepOf('{ property: rated-life, expect: lamp-file }')).toEqual({
    verb: 'ask',
    property: 'rated-life',
    expect: {
      against: 'value',
      value: 50_000 * 3600,
      tolerance: 0,
      relative: false,
      dimension: 'time',
      text: 'lamp-file',
    },
  });
});

it('takes a tolerance in the unit, or relative', () => {
  expect(
    stepOf('{ property: gear-supply-voltage, expect: 48 V, tolerance: ± 500 mV }'),
  ).toMatchObject({
    expect: { value: 48, tolerance: 0.5, relative: false },
  });
  expect(stepOf('{ property: gear-supply-voltage, expect: 48 V, tolerance: ± 5 % }')).toMatchObject(
    {
      expect: { value: 48, tolerance: 0.05, relative: true },
    },
  );
});

it.each([
  ['{ property: actve-power }', /active-power/],
  ['{ property: active-energy, expect: 3 W }', /for metrics; use reported-energy-error/],
  ['{ property: active-power, more-by: 3 W }', /active-power is no counter; use expect/],
  ['{ property: gear-starts, more-by: elapsed }', /elapsed goes with times; gear-starts is none/],
  ['{ property: gear-starts, more-by: 2, expect: 3 }', /exclude each other/],
  ['{ property: gear-starts, tolerance: 2 }', /goes with expect or more-by/],
  ['{ property: active-power, expect: lamp-file }', /does not say its active-power/],
  ['{ property: light-on-time, more-by: 3 K }', /time/],
])('%s is an issue', (step, words) => {
  expect(issueOf(step)).toMatch(words);
});

it('counts the time in which any channel was commanded to be lit, once', () => {
  const light = new CommandedLight(lamp);
  const all = Object.fromEntries(lamp.channels.map(({ channel }) => [channel, 1]));
  light.set(1, { level: 1, intensities: { ...all, red: 0 } });
  light.set(3, { level: 0, intensities: all });
  light.fade(5, { level: 0.5, intensities: all }, 2);
  light.set(8, { level: 0, intensities: all });
  expect(light.litBetween(0, 10)).toBeCloseTo(5, 9);
  expect(light.litBetween(2, 6)).toBeCloseTo(2, 9);
});
