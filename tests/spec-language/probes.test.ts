import { expect, test } from 'vitest';
import { readSpec } from '../../harness/spec-language/spec-file.ts';
import { lamp } from '../firmware/judge.ts';

function read(capture: string, criterion: string) {
  const text = `spec: probes
claim: The firmware knows where it is.
stimulus:
  - set: { level: 50 % }
  - mark: half
  - hold: 1 s
capture:
  - { signal: light, rate: 10 kHz }
  - ${capture}
criteria:
  - ${criterion}
`;
  const spec = readSpec(text, { file: 'probes.spec.yaml', folder: 'x', digest: '0', lamp });
  if ('plan' in spec) return spec.plan.conditions[0];
  return spec.issues.map(({ path, message }) => `${path}: ${message}`);
}

const highest = '{ metric: probe-highest, of: level, at-most: 50 }';

test('a probe is recorded by its name, beside the captures of the rig', () => {
  expect(read('{ signal: probe, of: level }', highest)).toMatchObject({
    captures: [{ signal: 'light' }],
    probes: ['level'],
    criteria: [{ metric: 'probe-highest', of: 'level' }],
  });
});

test('the only probe needs no name in a criterion', () => {
  expect(
    read('{ signal: probe, of: level }', '{ metric: probe-mean, during: half, at-most: 50 }'),
  ).toMatchObject({ criteria: [{ of: 'level' }] });
});

test.each([
  [
    '{ signal: probe }',
    highest,
    'capture[1]: a capture of probe needs the name of one; add "of: NAME"',
  ],
  [
    '{ signal: probe, of: Fade Position }',
    '{ metric: modulation, of: light, at-most: 50 % }',
    'capture[1].of: "Fade Position" is no name of a probe; expected lower-case letters, digits and hyphens, 32 at most',
  ],
  [
    '{ signal: probe, of: level, rate: 1 kHz }',
    highest,
    'capture[1].rate: rate does not go with probe: all that the firmware tells is kept',
  ],
  [
    '{ signal: probe, of: levels }',
    highest,
    'criteria[0].of: probe "level" is not captured; did you mean "levels"?',
  ],
  [
    '{ signal: busy, rate: 10 kHz }',
    highest,
    'criteria[0].of: probe "level" is not captured; add "- { signal: probe, of: level }" to capture',
  ],
])('%s with %s gets a sentence', (capture, criterion, expected) => {
  expect(read(capture, criterion)).toContain(expected);
});
