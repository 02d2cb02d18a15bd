import { decimated } from '../analysis/decimated.ts';
import { quietNoise } from '../analysis/noise.ts';
import { windowed } from '../analysis/waveform-part.ts';
import type { Chart, Line } from '../evidence.ts';
import { visibleModulation } from '../features/fade/visible-modulation.ts';
import type { Window } from '../observation.ts';
import { valueAt } from '../signal/samples.ts';
import { type ShortTimeSpectra, shortTimeSpectra } from '../signal/short-time-spectrum.ts';
import type { Waveform } from '../waveform.ts';

/** Rows and columns of the picture: small in a stored run, and still no line or instant is lost, as each shows its largest. */
const rows = 24;
const columns = 40;
/** Length of a frame, s: 4 Hz apart; of a short window, a part of it. */
const frame = 0.25;
const fewest = 8;
/** That a frame needs. */
const fewestSamples = 32;
/** A Hann window needs two bins to be free of the slow course. Beyond the highest, Hz, no limit is below 100 %. */
const lowest = 2;
const highest = 1250;
/** Samples a second that the highest needs, with room for the anti-alias filter: faster records are slowed down. */
const fastEnough = 4000;

/**
 * What of a light changes how fast and when, as a share of what may be seen at each frequency (see `visibleModulation`). Rows are lines,
 * the lowest first; the line `edges` has the frequencies between which they lie, Hz. Where the command itself turns, the slowest rows
 * stay blank.
 *
 * @param turns instants at which the command turns, s
 */
export function spectrogramChart(
  waveform: Waveform,
  { from, to, turns }: Window & { readonly turns: readonly number[] },
  title: string,
): readonly Chart[] {
  const recorded = windowed(waveform, from, to);
  const factor = Math.max(1, Math.floor(recorded.rate / fastEnough));
  const part = {
    samples: decimated(recorded, factor, highest),
    rate: recorded.rate / factor,
    start: recorded.start,
  };
  const length = Math.min(frame, (to - from) / fewest);
  if (length * part.rate < fewestSamples) return [];
  const noise = quietNoise(recorded) / Math.sqrt(factor);
  const spectra = shortTimeSpectra(part, length, noise);
  const top = Math.min(highest, part.rate / 2.5);
  const bottom = lowest * spectra.resolution;
  if (spectra.times.length < 2 || !(top > 2 * bottom)) return [];
  const straight = withoutTurns(
    spectra,
    turns.map((at) => at - part.start),
  );
  const edges = Array.from({ length: rows + 1 }, (_, k) => bottom * (top / bottom) ** (k / rows));
  const lines = edges.slice(1).map((above, k): Line => {
    const below = edges[k] ?? bottom;
    return rowOf(
      below < slow * spectra.resolution ? straight : spectra,
      { below, above },
      part.start,
    );
  });
  const x = edges.map((_, k) => k);
  return [
    {
      kind: 'spectrogram',
      title,
      x: { label: 'time', unit: 's', scale: 'linear' },
      y: { label: 'frequency', unit: 'Hz', scale: 'log' },
      lines: [...lines, { name: 'edges', role: 'ideal', x, y: edges }],
      marks: [],
    },
  ];
}

/** A commanded turn of the course fills the bins below this one of the frames that it lies in. */
const slow = 4;

/** With nothing in the frames in which the command turns: what changes slowly there is the fade that begins or ends. */
function withoutTurns(spectra: ShortTimeSpectra, turns: readonly number[]): ShortTimeSpectra {
  const half = 1 / spectra.resolution / 2;
  const frames = spectra.frames.map((amplitudes, k) =>
    turns.some((turn) => Math.abs(turn - (spectra.times[k] ?? 0)) <= half * 1.2)
      ? new Float64Array(amplitudes.length)
      : amplitudes,
  );
  return { ...spectra, frames };
}

interface Band {
  readonly below: number;
  readonly above: number;
}

/** The largest share of the limit among the bins of a row, by columns. */
function rowOf(spectra: ShortTimeSpectra, { below, above }: Band, start: number): Line {
  const { times, frames, resolution } = spectra;
  const first = Math.floor(below / resolution);
  const last = Math.max(first + 1, Math.floor(above / resolution));
  const shares = frames.map((amplitudes) => {
    let most = 0;
    for (let k = first; k < last; k++)
      most = Math.max(most, valueAt(amplitudes, k) / visibleModulation(k * resolution));
    return most;
  });
  const count = Math.min(columns, shares.length);
  const group = (k: number): readonly [number, number] => [
    Math.floor((k * shares.length) / count),
    Math.floor(((k + 1) * shares.length) / count),
  ];
  const begin = times[0] ?? 0;
  const span = (times.at(-1) ?? 0) - begin;
  const x = Array.from({ length: count }, (_, k) => start + begin + ((k + 0.5) / count) * span);
  const y = x.map((_, k) => Number(Math.max(...shares.slice(...group(k))).toPrecision(3)));
  return { name: `${Math.round(below)} Hz and above`, role: 'measured', x, y };
}
