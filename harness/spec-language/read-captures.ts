import { didYouMean } from '../files/did-you-mean.ts';
import { type Signal, signals } from '../measure/signals.ts';
import type { CaptureRequest } from '../plan/plan.ts';
import type { ConditionReader, Path } from './condition-reader.ts';
import type { CaptureShape } from './spec-schema.ts';

/** Keys that go with each kind of record, the needed ones first. */
const kinds = {
  waveform: { needs: ['rate'], takes: ['rate'] },
  colour: { needs: ['integration'], takes: ['integration', 'every'] },
  frame: { needs: ['exposure', 'frame-rate'], takes: ['exposure', 'frame-rate'] },
} as const;

export function readCaptures(
  shapes: readonly (CaptureShape | null)[],
  marks: readonly string[],
  path: Path,
  reader: ConditionReader,
): CaptureRequest[] {
  return shapes.flatMap((shape, index) =>
    shape ? [readCapture(shape, marks, [...path, index], reader)] : [],
  );
}

function readCapture(
  shape: CaptureShape,
  marks: readonly string[],
  path: Path,
  reader: ConditionReader,
): CaptureRequest {
  const signal = shape.signal;
  checkKeys(shape, path, reader);
  const { rate, integration, every, exposure } = shape;
  const frameRate = shape['frame-rate'];
  const figure = (
    key: string,
    written: string | number,
    dimension: 'time' | 'frequency',
    most: number,
  ): number => reader.figure(written, [...path, key], dimension, { above: 0, most });
  return {
    signal,
    of: readSubject(shape.of, signal, [...path, 'of'], reader),
    ...(shape.during !== undefined && {
      during: readMark(shape.during, marks, [...path, 'during'], reader),
    }),
    ...(rate !== undefined && { rate: figure('rate', rate, 'frequency', 1e9) }),
    ...(integration !== undefined && {
      integration: figure('integration', integration, 'time', 60),
    }),
    ...(every !== undefined && { every: figure('every', every, 'time', 86_400) }),
    ...(exposure !== undefined && { exposure: figure('exposure', exposure, 'time', 60) }),
    ...(frameRate !== undefined && {
      frameRate: figure('frame-rate', frameRate, 'frequency', 100_000),
    }),
  };
}

function checkKeys(shape: CaptureShape, path: Path, reader: ConditionReader): void {
  const { signal } = shape;
  const { needs, takes } = kinds[signals[signal].kind];
  for (const key of needs) {
    if (shape[key] === undefined)
      reader.report(path, `a capture of ${signal} needs ${needs.join(' and ')}; add "${key}: …"`);
  }
  for (const key of ['rate', 'integration', 'every', 'exposure', 'frame-rate'] as const) {
    if (shape[key] === undefined || (takes as readonly string[]).includes(key)) continue;
    const message = `${key} does not go with ${signal}; it takes ${takes.join(', ')}`;
    reader.report([...path, key], message, null, 'key');
  }
}

function readSubject(
  written: string | undefined,
  signal: Signal,
  path: Path,
  reader: ConditionReader,
): string {
  const { perChannel, usualSubject } = signals[signal];
  const channelsOnly = usualSubject === 'each-channel';
  if (written === undefined) return channelsOnly ? 'each-channel' : signal;
  const of = reader.text(written, path);
  const { lamp } = reader;
  const channels = lamp.channels.map(({ channel }) => channel);
  const known = [
    ...(perChannel ? ['each-channel', ...channels] : []),
    ...(channelsOnly ? [] : [signal, 'lamp']),
  ];
  if (known.includes(of)) return of === 'lamp' ? signal : of;
  if (of.includes('$') || (!reader.lampFits && perChannel)) return of;
  const guess = didYouMean(of, known) || `; expected one of ${known.join(', ')}`;
  reader.report(path, `${signal} cannot be had of "${of}"${guess}`, written);
  return of;
}

/** A mark of the stimulus. */
export function readMark(
  written: string,
  marks: readonly string[],
  path: Path,
  reader: ConditionReader,
): string {
  const mark = reader.text(written, path);
  if (marks.includes(mark) || mark.includes('$')) return mark;
  const list = marks.length > 0 ? `; marks: ${marks.join(', ')}` : '; the stimulus sets none';
  reader.report(
    path,
    `no mark "${mark}" in the stimulus${didYouMean(mark, marks) || list}`,
    written,
  );
  return mark;
}
