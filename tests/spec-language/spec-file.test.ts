import { describe, expect, it } from 'vitest';
import { opcode, special } from '../../drivers/dali/opcodes.ts';
import { daliCommands } from '../../harness/plan/links/dali-commands.ts';
import type { Plan } from '../../harness/plan/plan.ts';
import { schedule } from '../../harness/plan/schedule.ts';
import { stimulusTotals } from '../../harness/plan/stimulus-totals.ts';
import { unmetNeed } from '../../harness/plan/unmet-need.ts';
import type { Step } from '../../harness/plan/verbs/verbs.ts';
import { duplicateIds } from '../../harness/spec-language/duplicate-ids.ts';
import { readSpec } from '../../harness/spec-language/spec-file.ts';
import { shippedLamp } from './shipped-lamp.ts';

const alcove6 = shippedLamp('alcove-6');
const alcove1 = shippedLamp('alcove-1');

function planOf(text: string, lamp = alcove6): Plan {
  const read = readSpec(text, { file: 'x', folder: 'dimming', digest: 'd', lamp });
  if ('plan' in read) return read.plan;
  throw new Error(
    read.issues.map(({ line, path, message }) => `${line} ${path}: ${message}`).join('\n'),
  );
}

/** The first condition of a spec with this stimulus. */
function stepsOf(stimulus: string, conditions = '{}', lamp = alcove6): readonly Step[] {
  return planOf(
    `spec: s\nclaim: c\nconditions: ${conditions}\nstimulus:\n  - set: { level: 10 % }\n${stimulus}  - hold: 1 s\ncapture: [{ signal: light, rate: 10 kHz }]\ncriteria: [{ metric: modulation, at-most: 1 % }]\n`,
    lamp,
  ).conditions[0]!.stimulus.slice(1, -1);
}

function limitsOf(criterion: string): unknown {
  return planOf(
    `spec: s\nclaim: c\nstimulus: [{ hold: 1 s }]\ncapture: [{ signal: light, rate: 1 MHz }, { signal: channel-current, rate: 1 MHz }, { signal: colour, integration: 100 ms }]\ncriteria: [{ ${criterion} }]\n`,
  ).conditions[0]!.criteria[0]!.limits;
}

describe('readSpec', () => {
  it('multiplies the conditions, the first changing slowest, and names each point', () => {
    const plan = planOf(`spec: s
claim: c
conditions: { time: [0.7 s, 2 s], level: [1 %, 10 %] }
stimulus: [{ fade: { level: $level, over: $time } }]
capture: [{ signal: light, rate: 10 kHz }]
criteria: [{ metric: modulation, at-most: 1 % }]
`);
    expect(plan.conditions.map(({ key }) => key)).toEqual([
      'time=0.7 s, level=1 %',
      'time=0.7 s, level=10 %',
      'time=2 s, level=1 %',
      'time=2 s, level=10 %',
    ]);
    expect(plan.conditions[2]!.stimulus).toEqual([
      { verb: 'fade', level: 0.01, over: 2, wait: true },
    ]);
    expect(plan.conditions[2]!.values).toEqual({ time: '2 s', level: '1 %' });
  });

  it('has one condition without a name where the spec has none', () => {
    const plan = planOf(
      'spec: s\nclaim: c\nstimulus: [{ hold: 1 s }]\ncapture: [{ signal: light, rate: 10 kHz }]\ncriteria: [{ metric: modulation, at-most: 1 % }]\n',
    );
    expect(plan.conditions.map(({ key, values }) => [key, values])).toEqual([['', {}]]);
    expect(plan).toMatchObject({ tags: [], traces: [], repeat: 1, folder: 'dimming', digest: 'd' });
  });

  it('expands each-channel and each-mix from the lamp', () => {
    const text = (word: string) =>
      `spec: s\nclaim: c\nconditions: { x: ${word} }\nstimulus: [{ send: { console: $x } }, { hold: 1 s }]\ncapture: [{ signal: light, rate: 10 kHz }]\ncriteria: [{ metric: modulation, at-most: 1 % }]\n`;
    const keys = (word: string, lamp = alcove6) =>
      planOf(text(word), lamp).conditions.map(({ values }) => values['x']);
    expect(keys('each-channel')).toEqual(['warm', 'cool', 'red', 'lime', 'cyan', 'indigo']);
    expect(keys('each-channel', alcove1)).toEqual(['warm']);
    expect(keys('each-mix')).toEqual(['neutral', 'gallery-warm', 'gallery-cool', 'accent']);
  });

  it('expands each-link to the links of the lamp that the claim is about', () => {
    const { sacn: _, ...links } = alcove6.links;
    const withoutSacn = { ...alcove6, links };
    const text = (needs: string) =>
      `spec: s\nclaim: c\nneeds: ${needs}\nconditions: { link: each-link }\nstimulus: [{ set: { level: 50 %, link: $link } }, { hold: 1 s }]\ncapture: [{ signal: light, rate: 10 kHz }]\ncriteria: [{ metric: modulation, at-most: 1 % }]\n`;
    const keys = (needs: string, lamp = alcove6) =>
      planOf(text(needs), lamp).conditions.map(({ key }) => key);
    expect(keys('{}')).toEqual(['link=console', 'link=dali', 'link=dmx', 'link=sacn']);
    expect(keys('{ any-link: [sacn, dmx] }')).toEqual(['link=dmx', 'link=sacn']);
    expect(keys('{ any-link: [dmx, sacn] }', withoutSacn)).toEqual(['link=dmx']);
  });

  it('puts $names into keys of a mix and into the middle of a text', () => {
    const steps = stepsOf(
      '  - set: { mix: { each-channel: 0 %, $channel: 50 % } }\n  - send: { console: "price $$5 of $channel" }\n',
      '{ channel: [red] }',
    );
    expect(steps[0]).toEqual({
      verb: 'set',
      mix: { intensities: { warm: 0, cool: 0, red: 0.5, lime: 0, cyan: 0, indigo: 0 } },
    });
    expect(steps[1]).toEqual({
      verb: 'send',
      message: { link: 'console', line: 'price $5 of red' },
    });
  });

  it('takes words from the lamp file: bottom, low, nominal, high, understood', () => {
    const steps = stepsOf(
      '  - set: { level: bottom }\n  - supply: { volts: low }\n  - supply: { volts: high, output: off }\n  - send: { console: who, expect: understood }\n',
    );
    expect(steps).toEqual([
      { verb: 'set', level: 0.001 },
      { verb: 'supply', volts: 44 },
      { verb: 'supply', volts: 52, output: 'off' },
      { verb: 'send', message: { link: 'console', line: 'who' }, expect: { text: 'ok' } },
    ]);
  });

  it('makes DALI frames as IEC 62386-102 says (address byte, opcode; confirmed in public texts)', () => {
    const frames = (line: string) => stepsOf(`  - send: ${line}\n`)[0];
    // Short address 5, group 2, broadcast: 0AAAAAAS, 100AAAAS, 1111111S.
    expect(frames('{ dali: level, value: 200 }')).toEqual({
      verb: 'send',
      message: { link: 'dali', frame: [0x0a, 200] },
    });
    expect(frames('{ dali: off, to: group }')).toEqual({
      verb: 'send',
      message: { link: 'dali', frame: [0x85, 0x00] },
    });
    expect(frames('{ dali: go-to-scene, value: 3, to: broadcast }')).toEqual({
      verb: 'send',
      message: { link: 'dali', frame: [0xff, 0x13] },
    });
    expect(frames('{ dali: dtr0, value: 7 }')).toEqual({
      verb: 'send',
      message: { link: 'dali', frame: [0xa3, 7] },
    });
    expect(frames('{ dali: set-fade-time }')).toEqual({
      verb: 'send',
      message: { link: 'dali', frame: [0x0b, 0x2e], twice: true },
    });
    expect(frames('{ dali: query-actual-level, expect: 0xc8 }')).toEqual({
      verb: 'send',
      message: { link: 'dali', frame: [0x0b, 0xa0], answer: true },
      expect: { byte: 0xc8 },
    });
    expect(frames('{ dali: fe 80, expect: silence }')).toEqual({
      verb: 'send',
      message: { link: 'dali', frame: [0xfe, 0x80], answer: true },
      expect: { silence: true },
    });
    expect(frames('{ dali: initialise, value: 0 }')).toMatchObject({
      message: { frame: [0xa5, 0], twice: true },
    });
    expect(frames('{ dali: compare, expect: yes }')).toMatchObject({
      message: { frame: [0xa9, 0], answer: true },
      expect: { byte: 0xff },
    });
  });

  it('has the same opcodes as the DALI driver', () => {
    const kebab = (name: string) => name.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`);
    for (const [name, code] of [...Object.entries(opcode), ...Object.entries(special)]) {
      const own = daliCommands[kebab(name)];
      if (own) expect({ name, code: own.code }).toEqual({ name, code });
    }
    const known = [...Object.keys(opcode), ...Object.keys(special)].map(kebab);
    expect(Object.keys(daliCommands).filter((name) => !known.includes(name))).toEqual(['level']);
  });

  it('reads every form of a tolerance', () => {
    const none = { lower: null, upper: null, target: null };
    expect(limitsOf('metric: modulation, of: light, at-most: 8 %')).toEqual({
      ...none,
      upper: 0.08,
      text: 'at most 8 %',
    });
    expect(limitsOf('metric: svm, at-most: 0.4')).toEqual({
      ...none,
      upper: 0.4,
      text: 'at most 0.4',
    });
    expect(limitsOf('metric: cct, at-least: 2700 K, at-most: 3000 K')).toEqual({
      ...none,
      lower: 2700,
      upper: 3000,
      text: 'at least 2700 K, at most 3000 K',
    });
    expect(limitsOf('metric: fade-duration, between: [900 ms, 1.1 s]')).toEqual({
      ...none,
      lower: 0.9,
      upper: 1.1,
      text: '0.9 s … 1.1 s',
    });
    expect(limitsOf('metric: fade-duration, target: 2 s, tolerance: ± 50 ms')).toEqual({
      lower: 1.95,
      upper: 2.05,
      target: 2,
      text: '2 s ± 50 ms',
    });
    expect(limitsOf('metric: cct, target: 3000 K, tolerance: ± 10 %')).toEqual({
      lower: 2700,
      upper: 3300,
      target: 3000,
      text: '3000 K ± 10 %',
    });
    expect(limitsOf('metric: ripple-current, target: stage.ripple, tolerance: ± 15 %')).toEqual({
      derived: 'stage.ripple',
      relative: 0.15,
      absolute: null,
      text: 'stage.ripple ± 15 %',
    });
  });

  it('fills in whose record a criterion is about, and every parameter', () => {
    const plan = planOf(
      'spec: s\nclaim: c\nstimulus: [{ hold: 1 s }]\ncapture: [{ signal: light, rate: 20 kHz }, { signal: channel-current, rate: 20 kHz }, { signal: colour, integration: 100 ms }]\ncriteria:\n  - { metric: modulation, at-most: 8 % }\n  - { metric: mean-current, at-most: 1 A }\n  - { metric: arrival-spread, at-most: 20 ms }\n  - { metric: cct, at-most: 3000 K }\n  - { metric: svm, at-most: 0.4, curve: tn006 }\n',
    );
    const { criteria } = plan.conditions[0]!;
    expect(criteria.map(({ of }) => of)).toEqual([
      'light',
      'each-channel',
      'lamp',
      'lamp',
      'light',
    ]);
    expect(criteria[4]).toMatchObject({ line: 10, parameters: { curve: 'tn006' } });
    expect(criteria[1]!.parameters).toEqual({ while: 'always' });
  });

  it('does not hold against a lamp what a spec says it needs', () => {
    const text = `spec: s
claim: c
needs: { channels: 3, links: [dali], mixes: [sunset] }
stimulus: [{ set: { mix: { violet: 5 % } } }, { set: { mix: sunset } }, { hold: 1 s }]
capture: [{ signal: light, rate: 10 kHz }]
criteria: [{ metric: modulation, at-most: 1 % }]
`;
    const plan = planOf(text, alcove1);
    expect(unmetNeed(plan.needs, alcove1)).toBe('needs 3 channels, but lamp alcove-1 has 1');
    expect(unmetNeed(plan.needs, alcove6)).toBe(
      'needs a mix named sunset, but lamp alcove-6 has neutral, gallery-warm, gallery-cool, accent',
    );
    expect(unmetNeed({ supply: 'mains' }, alcove6)).toBe(
      'needs a mains supply, but lamp alcove-6 has a dc one',
    );
    expect(unmetNeed({ 'on-loss': 'hold' }, alcove6)).toBeNull();
    expect(unmetNeed({ 'on-loss': 'off' }, alcove6)).toBe(
      'needs on-loss: off, but lamp alcove-6 has on-loss: hold',
    );
    const { dmx, sacn, ...others } = alcove6.links;
    expect(unmetNeed({ 'on-loss': 'off' }, { ...alcove6, links: others })).toBe(
      'needs on-loss: off, but lamp alcove-6 has no dmx and no sacn link',
    );
    const any = { 'any-link': ['dmx', 'sacn'] };
    expect(unmetNeed(any, { ...alcove6, links: { ...others, dmx: dmx! } })).toBeNull();
    expect(unmetNeed(any, { ...alcove6, links: others })).toBe(
      'needs a dmx or sacn link, but lamp alcove-6 has console, dali',
    );
    const mixed = { ...others, dmx: { ...dmx!, onLoss: 'off' as const }, sacn: sacn! };
    expect(unmetNeed({ 'on-loss': 'off' }, { ...alcove6, links: mixed })).toBe(
      'needs on-loss: off, but lamp alcove-6 has on-loss: hold',
    );
    expect(
      unmetNeed({ channels: 6, links: ['dali'], modulation: 'pulse-density' }, alcove6),
    ).toBeNull();
  });
});

describe('stimulusTotals', () => {
  it('is the same as the schedule, repeats and storms included', () => {
    const steps = stepsOf(
      '  - repeat: { times: 3, steps: [ { hold: 1 s }, { repeat: { times: 2, steps: [ { fade: { level: 1 %, over: 500 ms } } ] } } ] }\n  - random: { commands: 100, every: 20 ms }\n  - fade: { level: 5 %, over: 9 s, wait: false }\n',
    );
    // 3 * (1 + 2 * 0.5) + 100 * 0.02
    expect(stimulusTotals(steps, alcove6).seconds).toBeCloseTo(8, 12);
    expect(schedule(steps, alcove6).duration).toBeCloseTo(8, 12);
  });
});

describe('duplicateIds', () => {
  it('tells of two specs with one id', () => {
    const specs = ['a', 'b', 'a', 'a'].map((spec, index) => ({ spec, file: `${index}` }));
    expect(duplicateIds(specs).map(({ files }) => files)).toEqual([
      ['0', '2'],
      ['0', '3'],
    ]);
  });
});
