import { describe, expect, it } from 'vitest';
import type { Lamp } from '../../../harness/bench/lamp.ts';
import { noEvidence } from '../../../harness/plan/reach/no-evidence.ts';
import { unmetNeed } from '../../../harness/plan/unmet-need.ts';
import { readSpec } from '../../../harness/spec-language/spec-file.ts';
import { readSpecs } from '../../../harness/workflow/inputs/read-specs.ts';
import { shippedLamp, specsFolder } from '../../spec-language/shipped-lamp.ts';

/** Short address 5, group 2. */
const alcove = shippedLamp('alcove-6');
const names = ['alcove-1', 'alcove-6', 'alcove-9', 'alcove-pwm'];

function moved(lamp: Lamp, firstSlot: number): Lamp {
  const { dmx, sacn, ...links } = lamp.links;
  return {
    ...lamp,
    links: {
      ...links,
      ...(dmx && { dmx: { ...dmx, firstSlot } }),
      ...(sacn && { sacn: { ...sacn, firstSlot } }),
    },
  };
}

/** Why the only condition of a spec proves nothing. */
function reasonOf(
  steps: readonly string[],
  { lamp = alcove, criterion = 'metric: level-noise, of: light, at-most: 1 %', head = '' } = {},
): string | null {
  const text = `spec: x
claim: It does.
${head}stimulus:
${steps.map((step) => `  - ${step}`).join('\n')}
  - hold: 1 s
capture:
  - { signal: light, rate: 20 kHz }
  - { signal: supply-voltage, rate: 20 kHz }
  - { signal: supply-current, rate: 20 kHz }
criteria:
  - { ${criterion} }
`;
  const read = readSpec(text, { file: 'x', folder: 'x', digest: '0', lamp });
  if ('issues' in read) throw new Error(read.issues.map(({ message }) => message).join('; '));
  const [condition] = read.plan.conditions;
  return condition ? noEvidence(condition, lamp, null) : null;
}

describe('a whole stimulus', () => {
  it.each([
    ['hold: 1 s', /the stimulus does nothing to it/],
    ['send: { dali: 0c c8 }', /DALI address 6 is not its own, which is 5/],
    ['send: { dali: 87 05 }', /it is not in DALI group 3/],
    ['send: { dali: ff 10 05 }', /24 bits are for control devices/],
    ['send: { dali: fd 05 }', /gear without a DALI address/],
    [
      'send: { dmx: [255, 255] }',
      /reads slots 1 to 14 on dmx, and the message carries only slots 1/,
    ],
    ['send: { sacn: [] }', /the message carries none/],
    ['carry: { link: dmx, on: false }', /nothing has been sent on dmx before/],
    ['supply: { volts: nominal }', /its supply is so already/],
  ])('%s proves nothing', (step, words) => {
    expect(reasonOf([step])).toMatch(words);
    expect(reasonOf([step])).toMatch(/proves nothing of lamp alcove-6/);
  });

  it.each([
    ['set: { level: 10 %, mix: all }'],
    ['random: { commands: 3, every: 20 ms }'],
    ['white: { temperature: 4000 K }'],
    ['send: { console: "dim 50" }'],
    ['send: { dali: 0a c8 }'],
    ['send: { dali: 85 05 }'],
    ['send: { dali: fe c8 }'],
    ['send: { dali: a3 00 }'],
    ['send: { dmx: { lamp-slots: 3 } }'],
    ['send: { sacn: sync, sync-address: 7 }'],
    ['send: { sacn: [], terminated: true }'],
    ['ask: { property: light-starts }'],
    ['tell: { property: dmx-personality, value: 1 }'],
    ['noise: { link: dali, bytes: 3 }'],
    ['supply: { volts: low }'],
    ['supply: { output: off }'],
    ['reset: now'],
  ])('%s reaches the lamp', (step) => {
    expect(reasonOf([step])).toBeNull();
  });

  it('may be that the lamp is left alone, where its supply or the air is looked at', () => {
    const criterion = 'metric: input-power, of: lamp, at-most: 1 W';
    expect(reasonOf(['hold: 1 s'], { criterion })).toBeNull();
    expect(reasonOf(['hold: 1 s'], { head: 'ambient: { temperature: 40 °C }\n' })).toBeNull();
  });
});

describe('what the lamp listens to', () => {
  it('changes with groups and addresses that it is given', () => {
    expect(reasonOf(['send: { dali: add-group, value: 3 }', 'send: { dali: 87 05 }'])).toBeNull();
    const away = ['send: { dali: dtr0, value: 13 }', 'send: { dali: set-short-address }'];
    expect(reasonOf([...away, 'send: { dali: 0c c8 }'])).toBeNull();
  });

  it('is no signal that stops, before there was one on that link', () => {
    const stop = 'carry: { link: dmx, on: false }';
    const criterion = 'metric: level-ratio, of: light, during: b, reference: a, at-least: 97 %';
    const lit = (set: string) =>
      reasonOf([set, 'mark: a', 'hold: 1 s', 'mark: b', stop], { criterion });
    expect(lit('set: { level: 10 %, mix: all, link: dmx }')).toBeNull();
    expect(lit('set: { level: 10 %, mix: all, link: console }')).toMatch(/that could stop/);
  });
});

describe('the windows of a criterion', () => {
  const criterion = 'metric: level-ratio, of: light, during: b, reference: a, at-least: 97 %';
  const around = (...steps: readonly string[]) =>
    reasonOf(
      ['set: { level: 20 %, mix: all, link: dmx }', 'mark: a', 'hold: 1 s', 'mark: b', ...steps],
      { criterion, lamp: moved(alcove, 100) },
    );

  it('prove nothing where all that is sent in them ends before the slots of the lamp', () => {
    const words =
      /nothing that is done from "a" to "b" comes to it, since it reads slots 100 to 113/;
    expect(around('send: { dmx: [255, 255], start-code: 0x17 }')).toMatch(words);
    expect(around('carry: { link: dmx, on: false }', 'send: { dmx: [1] }')).toMatch(words);
  });

  it('are evidence where something reaches it, comes by on its bus, or time alone passes', () => {
    expect(around()).toBeNull();
    expect(around('send: { dmx: [255] }', 'send: { dmx: { lamp-slots: 255 } }')).toBeNull();
    expect(around('send: { dali: 0c c8 }')).toBeNull();
    expect(
      around('send: { dmx: [255] }', 'hold: 1 s', 'mark: c', 'send: { dmx: { lamp-slots: 1 } }'),
    ).toMatch(/proves nothing/);
  });
});

it.each(names.flatMap((name) => [1, 100, 480].map((slot) => [name, slot] as const)))(
  'every claim of the library is evidence of %s at slot %s',
  (name, slot) => {
    const lamp = moved(shippedLamp(name), slot);
    const { plans } = readSpecs([specsFolder], lamp, '/');
    const empty = plans
      .filter(({ needs }) => unmetNeed(needs, lamp) === null)
      .flatMap(({ spec, conditions }) =>
        conditions.flatMap((one) => noEvidence(one, lamp, null) ?? []).map((why) => [spec, why]),
      );
    expect(empty).toEqual([]);
  },
);
