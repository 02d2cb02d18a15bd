import { describe, expect, it } from 'vitest';
import type { Lamp } from '../../harness/bench/lamp.ts';
import { CommandedLight, levelAt } from '../../harness/plan/commanded.ts';

const channel = (name: string) => ({
  channel: name,
  lumen: 100,
  xy: [0.4, 0.4] as const,
  maxCurrent: 0.5,
  forwardVoltage: 30,
});
const lamp: Lamp = {
  lamp: 'test lamp',
  maker: 'Halden Display Lighting',
  about: '',
  channels: [channel('warm'), channel('cool')],
  curve: { kind: 'logarithmic', bottom: 0.001 },
  mixes: { evening: { warm: 0.5 } },
  modulation: { kind: 'pulse-density', bits: 16, clock: 1e6 },
  stage: { kind: 'linear', riseTime: 0, fallTime: 0 },
  supply: {
    kind: 'dc',
    nominal: 48,
    low: 44,
    high: 52,
    standby: 0.3,
    inputCapacitance: 220e-6,
    inrushResistance: 10,
  },
  links: {},
  startUp: 0,
};
const full = { level: 1, intensities: { warm: 1, cool: 1 } };

function at(light: CommandedLight, name: string, instant: number, duration = 100): number {
  const story = light.finish(duration).channels.find(({ channel: own }) => own === name)!;
  const segment = story.segments.find(({ from, to }) => instant >= from && instant < to)!;
  return levelAt(segment, instant, lamp);
}

describe('CommandedLight', () => {
  it('is dark until something is commanded', () => {
    expect(at(new CommandedLight(lamp), 'warm', 5)).toBe(0);
  });

  it('multiplies level by intensity', () => {
    const light = new CommandedLight(lamp);
    light.set(1, { level: 0.5, intensities: { warm: 0.4, cool: 0 } });
    expect(at(light, 'warm', 2)).toBeCloseTo(0.2, 12);
    expect(at(light, 'cool', 2)).toBe(0);
  });

  // IEC 62386-102: a fade is linear in dimming steps; half-way from code 1 to 254 is 3.16 % (computed from the curve).
  it('is half-way between bottom and full at 3.16 % in the middle of a fade', () => {
    const light = new CommandedLight(lamp);
    light.set(0, { ...full, level: 0.001 });
    light.fade(1, full, 2);
    expect(at(light, 'warm', 2)).toBeCloseTo(0.0316228, 6);
    expect(at(light, 'warm', 3)).toBe(1);
  });

  it('starts a dark channel at the bottom and puts one out only when its fade has ended', () => {
    const light = new CommandedLight(lamp);
    light.set(0, { level: 1, intensities: { warm: 1, cool: 0 } });
    light.fade(1, { level: 1, intensities: { warm: 0, cool: 1 } }, 2);
    expect(at(light, 'cool', 1)).toBeCloseTo(0.001, 12);
    expect(at(light, 'warm', 2.999999)).toBeCloseTo(0.001, 6);
    expect(at(light, 'warm', 3)).toBe(0);
  });

  it('retargets from the brightness of that instant, without a jump', () => {
    const light = new CommandedLight(lamp);
    light.set(0, { ...full, level: 0.001 });
    light.fade(1, full, 2);
    const before = at(light, 'warm', 2 - 1e-9);
    light.fade(2, { ...full, level: 0.001 }, 1);
    expect(at(light, 'warm', 2)).toBeCloseTo(before, 6);
    expect(at(light, 'warm', 3)).toBe(0.001);
  });

  it('keeps channels that a written mix does not name, and darkens those that a named one does not', () => {
    const light = new CommandedLight(lamp);
    light.set(0, full);
    expect(light.complete({ mix: { intensities: { warm: 0.3 } } }).intensities).toEqual({
      warm: 0.3,
      cool: 1,
    });
    expect(light.complete({ mix: { name: 'evening' } }).intensities).toEqual({
      warm: 0.5,
      cool: 0,
    });
  });

  it('knows its instants as well as the least known command, and says nothing where all are known', () => {
    const light = new CommandedLight(lamp);
    light.set(0.1, full);
    expect(light.finish(1).standardInstant).toBeUndefined();
    light.knownTo(2e-3);
    light.knownTo(1e-3);
    expect(light.finish(1).standardInstant).toBe(2e-3);
    // A record's start counts beside it (JCGM 100:2008, 5.1.2): 2² + 1.5² = 2.5².
    light.startKnownTo(1.5e-3);
    expect(light.finish(1).standardInstant).toBeCloseTo(2.5e-3, 12);
  });

  it('tells the whole story without gaps, cut off at the end', () => {
    const light = new CommandedLight(lamp);
    light.set(0.1, full);
    light.fade(1, { ...full, level: 0.01 }, 5);
    light.set(2, { ...full, level: 0.1 });
    for (const { segments } of light.finish(4).channels) {
      expect(segments[0]!.from).toBe(0);
      expect(segments.at(-1)!.to).toBe(4);
      for (let k = 1; k < segments.length; k++) expect(segments[k]!.from).toBe(segments[k - 1]!.to);
    }
  });
});
