import { expect, it } from 'vitest';
import { readSpec } from '../../harness/spec-language/spec-file.ts';
import { shippedLamp } from '../spec-language/shipped-lamp.ts';

function read(step: string, lamp = shippedLamp('alcove-6')) {
  const text = `spec: x
claim: It does.
stimulus:
  - ${step}
  - hold: 1 s
capture: []
criteria: []
`;
  return readSpec(text, { file: 'x', folder: 'x', digest: '0', lamp });
}

const issueOf = (step: string, lamp?: ReturnType<typeof shippedLamp>): string => {
  const one = read(step, lamp);
  return 'issues' in one ? one.issues.map(({ message }) => message).join('\n') : '';
};

it('takes a figure in SI, and expects that the lamp takes it, too', () => {
  const one = read('tell: { property: minimum-level, value: 1 % }');
  expect('plan' in one && one.plan.conditions[0]?.stimulus[0]).toEqual({
    ...{ verb: 'tell', property: 'minimum-level', value: 0.01, expect: 'taken' },
  });
});

it.each([
  ['tell: { property: dmx-start-adress, value: 3 }', /dmx-start-address/],
  ['tell: { property: dmx-footprint, value: 3 }', /expected what can be set in a lamp/],
  ['tell: { property: dmx-start-address, value: 3 V }', /number/],
  ['tell: { property: dmx-start-address, value: 3, expect: no }', /taken/],
])('%s is an issue', (step, words) => {
  expect(issueOf(step)).toMatch(words);
});

it('asks and tells no lamp by RDM whose file does not say that it speaks it', () => {
  const silent = shippedLamp('alcove-pwm');
  const issue = /alcove-pwm does not say that it speaks RDM; add "needs: \{ rdm: true \}"/;
  expect(issueOf('tell: { property: dmx-start-address, value: 3 }', silent)).toMatch(issue);
  expect(issueOf('ask: { property: dmx-start-address, expect: 1 }', silent)).toMatch(issue);
});
