import { describe, expect, it } from 'vitest';
import type { Heard } from '../../../harness/bench/heard.ts';
import { type Foreseen, whyNotOnRig } from '../../../harness/explore/rig/why-not-on-rig.ts';

const terms = { longest: 30, brightest: 0.3, flashingOk: false };

function foreseen(change: Partial<Foreseen>): Foreseen {
  const light = [new Array<number>(2000).fill(0.2)];
  return { heard: [], until: 2, light, step: 1e-3, ...change };
}

function dali(...frame: readonly number[]): Heard {
  return { kind: 'dali', at: 1, frame };
}

describe('a sequence comes to a bench', () => {
  it.each<[string, readonly Heard[]]>([
    ['levels, steps and queries', [dali(0x06, 200), dali(0x07, 0x03), dali(0x07, 0xa0)]],
    ['a fade time, which is put right again', [dali(0xa3, 4), dali(0x07, 0x2e), dali(0x07, 0x2e)]],
    ['lines of its console', [{ kind: 'console', at: 1, line: 'level 20' }]],
    ['slots', [{ kind: 'dmx', at: 1, startCode: 0, slots: [1, 2] }]],
  ])('with %s', (_, heard) => {
    expect(whyNotOnRig(foreseen({ heard }), terms)).toBeNull();
  });

  // Opcodes of IEC 62386-102 table 16 and of -209, from memory; start code of ANSI E1.20.
  it.each<[string, Heard]>([
    ['RESET', dali(0xff, 0x20)],
    ['SET SCENE 3', dali(0x07, 0x43)],
    ['ADD TO GROUP 0', dali(0x07, 0x60)],
    ['SET SHORT ADDRESS', dali(0x07, 0x80)],
    ['SET POWER ON LEVEL', dali(0x07, 0x2d)],
    ['SET SYSTEM FAILURE LEVEL', dali(0x07, 0x2c)],
    ['PROGRAM SHORT ADDRESS', dali(0xb7, 0x03)],
    ['WRITE MEMORY LOCATION', dali(0xc7, 0x03)],
    ['STORE COLOUR TEMPERATURE LIMIT', dali(0x07, 0xf2)],
    ['a frame for a control device', dali(0xc1, 0x00, 0x00)],
    ['RDM', { kind: 'dmx', at: 1, startCode: 0xcc, slots: [1] }],
  ])('but never with %s', (_, event) => {
    expect(whyNotOnRig(foreseen({ heard: [event] }), terms)).toBe('it changes what the lamp keeps');
  });

  it.each<[string, Heard]>([
    ['GO TO SCENE 0', dali(0x07, 0x10)],
    ['GO TO SCENE 15 for all', dali(0xff, 0x1f)],
    ['a level for a group', dali(0x84, 100)],
    ['a bus without power', { kind: 'dali-bus', at: 1, powered: false }],
  ])('nor with %s, which rests on what was set before', (_, event) => {
    expect(whyNotOnRig(foreseen({ heard: [event] }), terms)).toBe(
      'it rests on what the lamp has kept',
    );
  });

  it('unless it is too long, too bright, or flashes', () => {
    const flashing = [Array.from({ length: 2000 }, (_, k) => (Math.floor(k / 125) % 2) * 0.25)];
    const bright = [new Array<number>(2000).fill(0.4)];
    expect(whyNotOnRig(foreseen({ until: 31 }), terms)).toBe('longer than 30 s');
    expect(whyNotOnRig(foreseen({ light: bright }), terms)).toBe('brighter than allowed');
    expect(whyNotOnRig(foreseen({ light: flashing }), terms)).toBe('it flashes at 3 Hz or faster');
    expect(whyNotOnRig(foreseen({ light: flashing }), { ...terms, flashingOk: true })).toBeNull();
  });
});
