import { describe, expect, it } from 'vitest';
import type { Plan } from '../../harness/plan/plan.ts';
import { checkSteadyWindows } from '../../harness/preflight/steady-window.ts';
import { readSpec } from '../../harness/spec-language/spec-file.ts';
import { shippedLamp } from '../spec-language/shipped-lamp.ts';

const lamp = shippedLamp('alcove-6');

function planOf(steps: string, criterion: string): Plan {
  const text = `spec: a
claim: The light is steady.
stimulus:
${steps}
capture:
  - { signal: light, rate: 10 kHz }
criteria:
  - ${criterion}
`;
  const read = readSpec(text, { file: 'x', folder: 'x', digest: '0', lamp });
  if ('plan' in read) return read.plan;
  throw new Error(read.issues.map(({ line, message }) => `${line}: ${message}`).join('\n'));
}

const messages = (steps: string, criterion: string): string[] =>
  checkSteadyWindows(planOf(steps, criterion), lamp).map(({ message }) => message);

const flat = `  - set: { level: 100 %, mix: all }
  - hold: 1 s
  - mark: flat
  - hold: 2 s`;
const fades = `
  - fade: { level: 50 %, over: 500 ms }
  - fade: { level: 100 %, over: 500 ms }
  - set: { level: 20 % }
  - hold: 1 s`;
const modulation = '{ metric: modulation, during: flat, at-most: 1 % }';

describe('a window that a steady-state metric reads', () => {
  it('is warned of when commands change the light within it, with their number and the first', () => {
    expect(messages(flat + fades, modulation)).toEqual([
      'reads one steady level, but the light is commanded to change 3 times in "flat", first 2 s after it begins; a mark lasts to the next mark, so add one where the steady light ends',
    ]);
  });

  it('is sound when the next mark ends it before they do', () => {
    expect(messages(`${flat}\n  - mark: moving${fades}`, modulation)).toEqual([]);
  });

  it('is the whole condition where the criterion names none', () => {
    expect(messages(flat + fades, '{ metric: modulation, at-most: 1 % }')).toEqual([
      'reads one steady level, but the light is commanded to change 3 times in the whole condition, first 3 s after it begins; put a mark before the steady light and name it with "during"',
    ]);
  });

  it('is sound where the one fade begins with its mark: light that is watched while it fades', () => {
    const fading = `${flat}\n  - mark: fading\n  - fade: { level: 50 %, over: 1 s }`;
    expect(messages(fading, '{ metric: modulation, during: fading, at-most: 1 % }')).toEqual([]);
  });

  it('is of no matter to a metric that is made for changes', () => {
    expect(messages(flat + fades, '{ metric: largest-visible-step, at-most: 1 % }')).toEqual([]);
  });
});
