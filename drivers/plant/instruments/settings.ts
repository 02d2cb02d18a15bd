import { BenchError } from '../../../harness/bench/errors.ts';
import type { RigInstrument } from '../../../harness/bench/rig.ts';
import { parseQuantity } from '../../../harness/units/parse-quantity.ts';

/** What a simulated instrument is, as `kind:` in its rig file says. */
export type PlantKind = 'digitiser' | 'colour-sensor' | 'supply' | 'camera' | 'lamp-link';

const kinds: readonly PlantKind[] = ['digitiser', 'colour-sensor', 'supply', 'camera', 'lamp-link'];

export function kindOf(instrument: RigInstrument): PlantKind {
  return word(instrument, 'kind', kinds, null);
}

export interface DigitiserSettings {
  readonly highestRate: number;
  readonly longestRecord: number;
  readonly acquisition: 'integrating' | 'point';
}

/** Settings `highest-rate`, `memory` (samples) and `acquisition`. */
export function digitiserSettings(instrument: RigInstrument): DigitiserSettings {
  return {
    highestRate: figure(instrument, 'highest-rate', 100e6),
    longestRecord: figure(instrument, 'memory', 200e6),
    acquisition: word(instrument, 'acquisition', ['integrating', 'point'], 'integrating'),
  };
}

/** Settings `noise-xy` (standard deviation of x and y at 1 s and 100 lx) and `standard-xy` (calibration, k = 1). */
export function colourSettings(instrument: RigInstrument): {
  readonly standardXy: number;
  readonly noiseXy: number;
} {
  return {
    standardXy: figure(instrument, 'standard-xy', 0.0005),
    noiseXy: figure(instrument, 'noise-xy', 0.00002),
  };
}

/** Settings `rows`, `line-time` (s) and `row-noise` (relative to full scale). */
export function cameraSettings(instrument: RigInstrument): {
  readonly rows: number;
  readonly lineTime: number;
  readonly rowNoise: number;
} {
  return {
    rows: figure(instrument, 'rows', 1080),
    lineTime: figure(instrument, 'line-time', 15e-6),
    rowNoise: figure(instrument, 'row-noise', 0.0005),
  };
}

/** A number, or a text with a unit, of an instrument's settings; SI. */
export function figure(instrument: RigInstrument, key: string, standard: number): number {
  const raw = instrument.settings[key];
  if (raw === undefined) return standard;
  if (typeof raw === 'number' && Number.isFinite(raw)) return raw;
  const parsed = typeof raw === 'string' ? parseQuantity(raw) : null;
  if (parsed?.ok) return parsed.quantity.value;
  throw misread(instrument, key, 'a number, with its unit if it has one', raw);
}

export function word<T extends string>(
  instrument: RigInstrument,
  key: string,
  allowed: readonly T[],
  standard: T | null,
): T {
  const raw = instrument.settings[key];
  if (raw === undefined && standard !== null) return standard;
  const found = allowed.find((candidate) => candidate === raw);
  if (found !== undefined) return found;
  throw misread(instrument, key, `one of ${allowed.join(', ')}`, raw);
}

function misread(
  { name }: RigInstrument,
  key: string,
  expected: string,
  found: unknown,
): BenchError {
  const shown = found === undefined ? 'nothing' : JSON.stringify(found);
  return new BenchError(
    'unsupported',
    name,
    `the setting ${key} of instrument ${name} should be ${expected}, but the rig file has ${shown}`,
  );
}
