import { decimateMinMax } from '../../../measure/signal/decimate-min-max.ts';
import type { CaptureRecord } from '../../../record/run-record.ts';
import { channelName, type VcdChannel } from './vcd-channel.ts';

/** Samples of a capture in its unit. */
export interface CapturedSamples {
  readonly capture: Pick<CaptureRecord, 'id' | 'signal' | 'unit' | 'rate' | 'start'>;
  readonly samples: Float64Array;
}

interface Span {
  readonly from: number;
  readonly to: number;
}

/** Signals that are high or low, and the voltage between. */
const pins: readonly string[] = ['busy', 'memory-write', 'sync'];
const threshold = 1.5;

/**
 * The samples of a capture within a span: all of them, or the lowest and the highest of each stretch, at their own instants, where they
 * are more than `most`. A record that does not reach over the span gets a line that is high while it lasts: a viewer holds
 * its last value.
 */
export function captureChannels(
  { capture, samples }: CapturedSamples,
  { from, to }: Span,
  most: number,
): readonly VcdChannel[] {
  const { id, signal, unit, rate, start } = capture;
  // The sample that holds at the beginning of the span belongs to it.
  const first = Math.max(0, Math.floor((from - start) * rate));
  const end = Math.min(samples.length, Math.ceil((to - start) * rate) + 1);
  if (end <= first) return [];
  const part = samples.subarray(first, end);
  const { at: places, values } = decimateMinMax(part, most);
  const at = Float64Array.from(places, (place) => start + (first + place) / rate);
  const name = channelName(id, unit === '1' ? '' : unit);
  const stop = start + samples.length / rate;
  // What the lamp does before the condition begins nobody asks a record for.
  const isWhole = start <= Math.max(from, 0) && stop >= to - 1 / rate;
  return [
    { name, kind: 'real', at, values },
    ...(pins.includes(signal) ? [pin(channelName(id), part, start + first / rate, rate)] : []),
    ...(isWhole
      ? []
      : [
          {
            ...{ name: `${channelName(id)}_recorded`, kind: 'bit' as const },
            ...{ at: [Math.min(from, start), start, stop], values: [0, 1, 0] },
          },
        ]),
  ];
}

/** Every change of a pin, however many samples there are. */
function pin(name: string, samples: Float64Array, start: number, rate: number): VcdChannel {
  const [at, values]: [number[], number[]] = [[], []];
  for (let k = 0; k < samples.length; k++) {
    const high = (samples[k] ?? 0) > threshold ? 1 : 0;
    if (high === values.at(-1)) continue;
    at.push(start + k / rate);
    values.push(high);
  }
  return { name, kind: 'bit', at, values };
}
