import { describe, expect, it } from 'vitest';
import { PowerStory } from '../../../harness/run/power/power-story.ts';
import { supplyDoubt, type TimedReading } from '../../../harness/run/power/supply-doubt.ts';

function reading(at: number, more: Partial<TimedReading> = {}): TimedReading {
  return { from: at - 0.01, at, volts: 48, amps: 1.5, on: true, ...more };
}

const nominal = () => new PowerStory({ volts: 48, on: true });

/** A story with one change, told at `from` and confirmed at `to`. */
async function changed(part: { volts?: number; on?: boolean }, from: number, to: number) {
  const story = nominal();
  const instants = [from, to];
  await story.change(
    part,
    () => instants.shift() ?? to,
    async () => {},
  );
  return story;
}

describe('what a supply delivered against what it was told', () => {
  it('is sound within 3 % and 0.1 V', () => {
    const all = [reading(0), reading(0.3, { volts: 46.5 }), reading(0.6, { volts: 49.5 })];
    expect(supplyDoubt(all, nominal())).toBeNull();
    expect(supplyDoubt([reading(0, { volts: 46.4 })], nominal())).toMatch(
      /it gave 46\.4 V and 1\.5 A at 0\.00 s, where 48 V were set; .*up to 1\.5 A/,
    );
    expect(supplyDoubt([reading(0, { volts: 49.6 })], nominal())).toMatch(/49\.6 V/);
  });

  it('is in doubt in current limit, also where the voltage is still right', () => {
    expect(supplyDoubt([reading(0, { mode: 'current' })], nominal())).toMatch(/in current limit/);
  });

  it('is in doubt where it is off, and names the most current that was drawn before', () => {
    const all = [reading(0, { amps: 9.9 }), reading(0.3, { on: false, volts: 0, amps: 0 })];
    expect(supplyDoubt(all, nominal())).toMatch(/off at 0\.30 s.* up to 9\.9 A/);
  });

  it('judges no reading that was taken while the stimulus changed something', async () => {
    const story = await changed({ volts: 24 }, 1, 1.2);
    expect(supplyDoubt([reading(1.1, { volts: 30 })], story)).toBeNull();
    expect(supplyDoubt([reading(0.9, { volts: 30 })], story)).not.toBeNull();
  });

  it('lets a voltage fall for 2 s, between the old one and the new one, then holds it to the new one', async () => {
    const story = await changed({ volts: 24 }, 1, 1.1);
    expect(supplyDoubt([reading(1.5, { volts: 40 })], story)).toBeNull();
    expect(supplyDoubt([reading(1.5, { volts: 10 })], story)).toMatch(/10 V/);
    expect(supplyDoubt([reading(3.2, { volts: 40 })], story)).toMatch(/40 V .* where 24 V/);
    expect(supplyDoubt([reading(3.2, { volts: 24 })], story)).toBeNull();
  });

  it('blames no protection that a change of the stimulus may have called', async () => {
    const surge = reading(1.5, { protections: ['over-current'] });
    expect(supplyDoubt([reading(0.5), surge], await changed({ volts: 52 }, 1, 1.1))).toBeNull();
    expect(supplyDoubt([reading(0.5), surge], nominal())).toMatch(
      /reports over-current between 0\.50 s and 1\.50 s, although it is on at 48 V again/,
    );
  });

  it('holds an output to being off where the stimulus switched it off', async () => {
    const story = await changed({ on: false }, 1, 1.1);
    expect(supplyDoubt([reading(1.3, { on: false, volts: 30 })], story)).toBeNull();
    expect(supplyDoubt([reading(1.3)], story)).toMatch(/was on .*where it was to be off/);
  });

  it('takes no output for off that gives what it gave before, whatever it says', async () => {
    const story = await changed({ on: false }, 1, 1.1);
    const off = (at: number, volts: number, amps: number) =>
      supplyDoubt([reading(at, { on: false, volts, amps })], story);
    expect(off(1.45, 48, 1.37)).toMatch(
      /says that its output is off, but it reads 48 V and 1\.37 A 0\.3 s after it was switched off/,
    );
    // A meter lags, and capacitors hold a voltage up, which falls with the current that they give.
    expect(off(1.35, 48, 1.37)).toBeNull();
    expect(off(1.45, 45, 0)).toBeNull();
    expect(off(1.45, 30, 1)).toBeNull();
    expect(off(1.45, 48, 0.02)).toBeNull();
    expect(off(3.2, 25, 0)).toMatch(/25 V and 0 A/);
    expect(off(3.2, 20, 0)).toBeNull();
  });

  it('takes no voltage for lowered that carries a current and does not fall', async () => {
    const story = await changed({ volts: 24 }, 1, 1.1);
    expect(supplyDoubt([reading(1.5, { volts: 48 })], story)).toMatch(
      /it gave 48 V and 1\.5 A at 1\.50 s, 0\.4 s after 24 V were set/,
    );
    expect(supplyDoubt([reading(1.5, { volts: 48, amps: 0 })], story)).toBeNull();
  });
});
