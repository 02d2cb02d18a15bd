import { describe, expect, it } from 'vitest';
import { ReferenceFirmware } from '../../../../drivers/plant/firmware/reference.ts';
import { healthyFirmware } from '../../../../drivers/plant/firmware/traits.ts';
import { DriveLine } from '../../../../drivers/plant/modulator/drive-line.ts';
import { addGateMean } from '../../../../drivers/plant/modulator/gate-mean.ts';
import { shippedLamp } from '../../../spec-language/shipped-lamp.ts';
import { BareLamp } from '../firmware/bare-lamp.ts';

/**
 * A first-order accumulator of N bits repeats after 2^N / gcd(k, 2^N) clocks, so that its lowest tone is
 * f_clk gcd(k, 2^N) / 2^N (computed; a textbook matter of idle tones).
 */
function lowestTone(code: number, bits: number, clock: number): number {
  const odd = code & -code;
  return (clock * odd) / 2 ** bits;
}

const square = {
  riseTime: 0,
  fallTime: 0,
  overshoot: 0,
  overshootTime: 0,
  shortestPulse: 0,
  deadTime: 0,
};

/** The stream of a density, one sample a clock. */
function stream(code: number, bits: number, clocks: number): Float32Array {
  const line = new DriveLine();
  line.setUp(0, { kind: 'pulse-density', bits, clock: 1 }, 1, 0);
  line.write(0, code);
  const out = new Float32Array(clocks);
  addGateMean({ samples: out, t0: 0, dt: 1 }, line, square, { on: 1, analogue: () => 0 });
  return out;
}

function repeatsAfter(bits: Float32Array, period: number): boolean {
  for (let k = 0; k + period < bits.length; k++) if (bits[k] !== bits[k + period]) return false;
  return true;
}

describe('The idle tone of a pulse-density stream', () => {
  it.each([8, 10])(
    'is the lowest one that its level can have, for every level of %i bits',
    (bits) => {
      const clocks = 2 ** bits;
      for (let code = 1; code < clocks; code++) {
        const period = 1 / lowestTone(code, bits, 1);
        const seen = stream(code, bits, 2 * clocks);
        expect(repeatsAfter(seen, period), `code ${code}`).toBe(true);
        // Every shorter period that fits would divide half of this one.
        if (period > 1) expect(repeatsAfter(seen, period / 2), `code ${code}`).toBe(false);
      }
    },
  );

  it('is a flash train of 15.26 Hz for code 1 of 16 bits at 1 MHz, and 390.6 Hz for 8 bits at 100 kHz (computed)', () => {
    expect(lowestTone(1, 16, 1e6)).toBeCloseTo(15.26, 2);
    expect(lowestTone(1, 8, 100e3)).toBeCloseTo(390.6, 1);
    const seen = stream(1, 16, 2 ** 18);
    const flashes = [...seen.keys()].filter((clock) => seen[clock]! > 0);
    expect(flashes).toEqual([65535, 131071, 196607, 262143]);
  });

  it.each(['alcove-1', 'alcove-6', 'alcove-9'])(
    'lies above 120 Hz on %s at every DALI level, dither included',
    (name) => {
      const lamp = shippedLamp(name);
      const { links, modulation } = lamp;
      if (modulation.kind !== 'pulse-density' || !links.dali)
        throw new Error('pulse density, DALI');
      const bare = new BareLamp(new ReferenceFirmware(lamp, healthyFirmware), lamp.channels.length);
      bare.run(0.7);
      const address = links.dali.shortAddress << 1;
      for (let level = 1; level <= 254; level++) {
        bare.dali(address, level);
        bare.run(0.02);
        const codes: number[] = [];
        bare.run(0.064, () => codes.push(bare.drives[0]!));
        // The pattern of the dither: within 8 ticks of 1 ms, 125 Hz.
        expect(codes.slice(8), `level ${level}`).toEqual(codes.slice(0, -8));
        for (const code of new Set(codes)) {
          const tone =
            code === 2 ** modulation.bits
              ? Number.POSITIVE_INFINITY
              : lowestTone(code, modulation.bits, modulation.clock);
          expect(tone, `level ${level}`).toBeGreaterThan(120);
        }
        expect(Math.min(...codes), `level ${level}`).toBeGreaterThan(0);
      }
    },
  );
});
