import { describe, expect, it } from 'vitest';
import type { Lamp } from '../../harness/bench/lamp.ts';
import type { RawMessage } from '../../harness/bench/ports.ts';
import { unmetNeed } from '../../harness/plan/unmet-need.ts';
import { stepWords } from '../../harness/plan/verbs/verbs.ts';
import { readSpec } from '../../harness/spec-language/spec-file.ts';
import { shippedLamp } from '../spec-language/shipped-lamp.ts';

const alcove = shippedLamp('alcove-6');
const { console } = alcove.links;
if (!console) throw new Error('Alcove-6 has a console');

function read(step: string, lamp: Lamp = alcove) {
  const text = `spec: x
claim: It does.
stimulus:
  - set: { level: 50 %, link: sacn }
  - ${step}
  - hold: 1 s
capture:
  - { signal: light, rate: 20 kHz }
criteria:
  - { metric: level-noise, of: light, at-most: 1 % }
`;
  return readSpec(text, { file: 'x', folder: 'x', digest: '0', lamp });
}

function stepOf(step: string, lamp?: Lamp) {
  const one = read(step, lamp);
  if ('issues' in one) throw new Error(one.issues.map(({ message }) => message).join('; '));
  const [, second] = one.plan.conditions[0]?.stimulus ?? [];
  if (!second) throw new Error('a step expected');
  return second;
}

function slotMessage(step: string, lamp?: Lamp): Extract<RawMessage, { slots: readonly number[] }> {
  const sent = stepOf(`send: { ${step} }`, lamp);
  if (sent.verb !== 'send' || !('slots' in sent.message)) throw new Error('slots expected');
  return sent.message;
}

describe('values of the lamp', () => {
  it('go coarse before fine, behind whatever stands before the lamp', () => {
    const { dmx } = alcove.links;
    if (!dmx) throw new Error('Alcove-6 has DMX');
    const far: Lamp = { ...alcove, links: { ...alcove.links, dmx: { ...dmx, firstSlot: 500 } } };
    const [one, other] = [undefined, far].map(
      (lamp) => slotMessage('dmx: { lamp-values: { level: 0x1234, channels: 0xff } }', lamp).slots,
    );
    expect(one).toEqual([0x12, 0x34, ...new Array(6).fill([0, 0xff]).flat()]);
    expect(other?.slice(499)).toEqual(one);
  });

  it('of a lamp of 8 bits go up to 255', () => {
    const { dmx } = alcove.links;
    if (!dmx) throw new Error('Alcove-6 has DMX');
    const coarse: Lamp = { ...alcove, links: { ...alcove.links, dmx: { ...dmx, bits: 8 } } };
    const step = 'dmx: { lamp-values: { level: 200, channels: 3 } }';
    expect(slotMessage(step, coarse).slots).toEqual([200, 3, 3, 3, 3, 3, 3]);
  });
});

it('values for lamps of 16 bits are no issue for one of 8, which the claim leaves out', () => {
  const { dmx } = alcove.links;
  if (!dmx) throw new Error('Alcove-6 has DMX');
  const coarse: Lamp = { ...alcove, links: { console, dmx: { ...dmx, bits: 8 } } };
  const text = `spec: x
claim: It does.
needs: { links: [dmx], slot-bits: 16 }
stimulus:
  - send: { dmx: { lamp-values: { level: 65535, channels: 4096 } } }
  - hold: 1 s
capture:
  - { signal: light, rate: 20 kHz }
criteria:
  - { metric: level-noise, of: light, at-most: 1 % }
`;
  const one = readSpec(text, { file: 'x', folder: 'x', digest: '0', lamp: coarse });
  expect('issues' in one ? one.issues : []).toEqual([]);
  if ('plan' in one)
    expect(unmetNeed(one.plan.needs, coarse)).toBe(
      'needs slot-bits: 16, but lamp alcove-6 has 8 bits',
    );
});

describe('frames of DMX512', () => {
  it('have the rate, break, mark and slots that are asked for, and say so', () => {
    const step =
      'dmx: { lamp-slots: 9 }, frame: { rate: 44 Hz, break: 92 µs, mark: 12 µs, slots: 512 }';
    const message = slotMessage(step);
    expect(message.frame).toEqual({ rate: 44, break: 92e-6, mark: 12e-6, slots: 512 });
    expect(message.slots).toHaveLength(512);
    expect(message.slots.slice(13, 16)).toEqual([9, 0, 0]);
    expect(stepWords(stepOf(`send: { ${step} }`))).toMatch(
      /in frames of 44 Hz, break 92 µs, mark 12 µs, 512 slots$/,
    );
  });

  it('may be cut', () => {
    expect(slotMessage('dmx: { lamp-slots: 9 }, frame: { slots: 3 }').slots).toEqual([9, 9, 9]);
  });

  it('of a fade have them, too', () => {
    const step = stepOf('fade: { level: 5 %, over: 2 s, link: dmx, frame: { rate: 10 Hz } }');
    expect(step).toMatchObject({ frame: { rate: 10 } });
  });
});

describe('packets of sACN', () => {
  it('have a sender, a universe, fields and a length of their own', () => {
    const step =
      'sacn: [1, 2], source: second, universe: 9, fields: { root-vector: 5, priority: 0xff }, length: 100';
    expect(slotMessage(step)).toEqual({
      ...{ link: 'sacn', startCode: 0, slots: [1, 2], source: 'second', universe: 9 },
      ...{ fields: { 'root-vector': 5, priority: 255 }, length: 100 },
    });
    expect(stepWords(stepOf(`send: { ${step} }`))).toMatch(
      /from “second”, universe 9, root-vector = 5, priority = 255, 100 bytes long$/,
    );
  });

  it('may be any bytes', () => {
    expect(slotMessage('sacn: "00 10 FF"').datagram).toEqual([0, 0x10, 0xff]);
  });
});

it.each([
  ['send: { dmx: { lamp-values: { level: 65536, channels: 0 } } }', /0 to 65535, found 65536/],
  ['send: { dmx: { others: 3 } }', /expected lamp-slots or lamp-values, found none/],
  [
    'send: { dmx: { lamp-slots: 1, lamp-values: { level: 1, channels: 1 } } }',
    /expected lamp-slots or lamp-values, found both/,
  ],
  [
    'send: { dmx: { lamp-slots: 1, others: 0 }, frame: { rate: 50 Hz } }',
    /at most 4\d(\.\d)? Hz, found 50 Hz: such a frame takes 22\.\d+ ms/,
  ],
  ['send: { dmx: [1], frame: { break: 2 s } }', /2 s/],
  ['send: { sacn: [1], frame: { rate: 4 Hz } }', /frame does not go with sacn/],
  ['set: { level: 5 %, link: sacn, frame: { rate: 4 Hz } }', /frame goes with link: dmx/],
  ['set: { level: 5 %, frame: { rate: 4 Hz } }', /frame goes with link: dmx/],
  [
    'set: { level: 5 %, link: dmx, frame: { slots: 4 } }',
    /14 slots at least, up to the last of the lamp, found 4/,
  ],
  ['send: { sacn: [1], fields: { sequence: 256 } }', /0 to 255, found 256/],
  ['send: { sacn: sync, sync-address: 7, universe: 8 }', /universe does not go with sacn: sync/],
  ['send: { sacn: "00 10", priority: 3 }', /priority does not go with the bytes/],
  ['send: { sacn: [1], universe: 64000 }', /1 to 63999, found 64000/],
  ['send: { dmx: [1], source: a }', /source does not go with dmx/],
])('{ %s } is an issue', (step, message) => {
  const one = read(step);
  expect('issues' in one ? one.issues.map((own) => own.message).join() : 'none').toMatch(message);
});
