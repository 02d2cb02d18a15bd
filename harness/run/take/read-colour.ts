import { BenchError } from '../../bench/errors.ts';
import type { Call, ColourSensor, OpenBench, Spectrometer, Spectrum } from '../../bench/ports.ts';
import type { SpectralPower } from '../../measure/colorimetry/spectral-power.ts';
import {
  spectrumDoubt,
  spectrumTristimulus,
  spectrumUncertainty,
} from '../../measure/colorimetry/spectrum-tristimulus.ts';
import type { SensorReading } from '../../measure/observation.ts';
import { instrumentOf } from './instrument-of.ts';

/** The instrument that a colour wire names: a tristimulus head, or a spectrometer. */
export function colourInstrument(bench: OpenBench, name: string): ColourSensor | Spectrometer {
  const instrument = bench.instruments.get(name);
  return instrument?.kind === 'spectrometer'
    ? instrument
    : instrumentOf(bench, name, 'colour-sensor');
}

/** A reading, and the spectrum that it was computed from, where there is one. */
export interface ColourTaken {
  readonly reading: SensorReading;
  readonly spectrum?: SpectralPower;
}

/** A reading of colour, computed from the spectrum where a spectrometer measures it. */
export async function readColour(
  instrument: ColourSensor | Spectrometer,
  setup: { readonly integration: number },
  call: Call,
): Promise<ColourTaken> {
  if (instrument.kind === 'colour-sensor') return { reading: await instrument.read(setup, call) };
  const spectrum = await instrument.measure(setup, call);
  const { from, step, values } = spectrum;
  return { reading: colourOf(spectrum, instrument.name), spectrum: { from, step, values } };
}

function colourOf(spectrum: Spectrum, name: string): SensorReading {
  const doubt = spectrumDoubt(spectrum);
  if (doubt !== null) throw new BenchError('unsupported', name, `${name}: ${doubt}`);
  const { at, integration, state } = spectrum;
  const own = spectrumTristimulus(spectrum);
  const dark = !(own.Y > 0);
  // Noise about nothing has no chromaticity.
  const { X, Y, Z } = dark ? { X: 0, Y: Math.max(0, own.Y), Z: 0 } : own;
  return {
    ...{ at, integration, X, Y, Z },
    state: dark && state === 'good' ? 'under-range' : state,
    ...(dark ? {} : { standardXy: spectrumUncertainty(spectrum) }),
  };
}
