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
  rate: { key: 'rate', dimension: 'frequency', most: 1e9 },
  integration: { key: 'integration', dimension: 'time', most: 60 },
  every: { key: 'every', dimension: 'time', most: 86_400 },
  exposure: { key: 'exposure', dimension: 'time', most: 60 },
  frameRate: { key: 'frame-rate', dimension: 'frequency', most: 100_000 },
} as const;

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
  const { signal, during } = shape;
  checkKeys(shape, reader);
  return {
    signal,
    of: readCapturedOf(shape.of, signal, reader.at('of')),
    ...(during !== undefined && { during: readMark(during, marks, reader.at('during')) }),
    ...readFigures(shape, reader),
  };
}

function readFigures(
  shape: CaptureShape,
  reader: ValueReader,
): Partial<Record<keyof typeof figures, number>> {
  const read = (written: Raw, { key, dimension, most }: (typeof figures)[keyof typeof figures]) =>
    reader.at(key).figure(written, dimension, { above: 0, most });
  const entries = Object.entries(figures).flatMap(([name, figure]) => {
    const written = shape[figure.key];
    return written === undefined ? [] : [[name, read(written, figure)] as const];
  });
  return Object.fromEntries(entries);
}

function checkKeys(shape: CaptureShape, reader: ValueReader): void {
  const { signal } = shape;
  const { needs, takes } = kinds[signals[signal].kind];
  for (const key of needs) {
    if (shape[key] === undefined)
      reader.report(`a capture of ${signal} needs ${needs.join(' and ')}; add "${key}: …"`);
  }
  for (const { key } of Object.values(figures)) {
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
