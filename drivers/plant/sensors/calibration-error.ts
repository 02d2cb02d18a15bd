import type { Rig, Wire } from '../../../harness/bench/rig.ts';
import { Random } from '../random.ts';

/** How far one simulated input is from what its certificate says: measured = true * (1 + scale) + offset. */
export interface CalibrationError {
  /** Relative. */
  readonly scale: number;
  /** In the wire's unit. */
  readonly offset: number;
  /** Relative error of the instrument's clock. */
  readonly timeBase: number;
}

/**
 * Drawn once for the rig and lamp of a run from the stated standard uncertainties, within ±2 of them: instruments whose
 * certificates tell the truth.
 */
export function calibrationError(
  rig: Rig,
  wire: Wire,
  lampSeed: number,
  spread: number,
): CalibrationError {
  const input = new Random(lampSeed, `calibration/${wire.instrument}/${wire.input}`);
  const clock = new Random(lampSeed, `time base/${wire.instrument}`);
  const instrument = rig.instruments.find(({ name }) => name === wire.instrument);
  return {
    scale: spread * input.within(wire.standardScale),
    offset: spread * input.within(wire.standardOffset),
    timeBase: spread * clock.within(instrument?.calibration?.timeBase ?? 0),
  };
}
