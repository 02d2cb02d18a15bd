import { didYouMean } from '../files/did-you-mean.ts';
import { type Signal, signals } from '../measure/signals.ts';
import type { CaptureRequest } from '../plan/plan.ts';
import type { Raw, ValueReader } from '../plan/value-reader.ts';
import { readMark } from './marks.ts';
import type { CaptureShape } from './spec-schema.ts';

/** Keys that go with each kind of record, the needed ones first. */
const kinds = {
  waveform: { needs: ['rate'], takes: ['rate'] },
  colour: { needs: ['integration'], takes: ['integration', 'every'] },
  frame: { needs: ['exposure', 'frame-rate'], takes: ['exposure', 'frame-rate'] },
} as const;

/** The figures of a capture, what each is and its bound in SI; all are above 0. */
const figures = {
  rate: { dimension: 'frequency', most: 1e9 },
  integration: { dimension: 'time', most: 60 },
  every: { dimension: 'time', most: 86_400 },
  exposure: { dimension: 'time', most: 60 },
  'frame-rate': { dimension: 'frequency', most: 100_000 },
} as const;
type FigureKey = keyof typeof figures;
const figureKeys = Object.keys(figures) as readonly FigureKey[];

export function readCaptures(
  shapes: readonly (CaptureShape | null)[],
  marks: readonly string[],
  reader: ValueReader,
): CaptureRequest[] {
  return shapes.flatMap((shape, index) =>
    shape ? [readCapture(shape, marks, reader.at(index))] : [],
  );
}

function readCapture(
  shape: CaptureShape,
  marks: readonly string[],
  reader: ValueReader,
): CaptureRequest {
  const { signal, during, every } = shape;
  checkKeys(shape, reader);
  const common = {
    of: readCapturedOf(shape.of, signal, reader.at('of')),
    ...(during !== undefined && { during: readMark(during, marks, reader.at('during')) }),
  };
  const figure = (key: FigureKey): number => readFigure(key, shape[key], reader.at(key));
  if (signal === 'colour') {
    const pause = every === undefined ? {} : { every: figure('every') };
    return { signal, ...common, integration: figure('integration'), ...pause };
  }
  if (signal === 'frame') {
    const exposure = figure('exposure');
    return { signal, ...common, exposure, frameRate: figure('frame-rate') };
  }
  return { signal, ...common, rate: figure('rate') };
}

/** SI. A figure that is missing has been reported: nothing is computed with it. */
function readFigure(key: FigureKey, written: Raw | undefined, reader: ValueReader): number {
  if (written === undefined) return Number.NaN;
  const { dimension, most } = figures[key];
  return reader.figure(written, dimension, { above: 0, most });
}

function checkKeys(shape: CaptureShape, reader: ValueReader): void {
  const { signal } = shape;
  const { needs, takes } = kinds[signals[signal].kind];
  for (const key of needs) {
    if (shape[key] === undefined)
      reader.report(`a capture of ${signal} needs ${needs.join(' and ')}; add "${key}: …"`);
  }
  for (const key of figureKeys) {
    if (shape[key] === undefined || (takes as readonly string[]).includes(key)) continue;
    const message = `${key} does not go with ${signal}; it takes ${takes.join(', ')}`;
    reader.at(key).report(message, null, 'key');
  }
}

/** Whose record it is: a channel, `each-channel`, or the signal's own name for the one of the whole lamp. */
function readCapturedOf(written: string | undefined, signal: Signal, reader: ValueReader): string {
  const { perChannel, usualSubject } = signals[signal];
  const channelsOnly = usualSubject === 'each-channel';
  if (written === undefined) return channelsOnly ? 'each-channel' : signal;
  const of = reader.text(written);
  const channels = reader.lamp.channels.map(({ channel }) => channel);
  const known = [
    ...(perChannel ? ['each-channel', ...channels] : []),
    ...(channelsOnly ? [] : [signal, 'lamp']),
  ];
  if (known.includes(of)) return of === 'lamp' ? signal : of;
  if (of.includes('$') || (!reader.lampFits && perChannel)) return of;
  const guess = didYouMean(of, known) || `; expected one of ${known.join(', ')}`;
  reader.report(`${signal} cannot be recorded of "${of}"${guess}`, written);
  return of;
}
