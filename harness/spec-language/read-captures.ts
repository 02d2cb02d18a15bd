import { didYouMean } from '../files/did-you-mean.ts';
import { type Signal, signals } from '../measure/signals.ts';
import { type CaptureRequest, probeSignal } from '../plan/plan.ts';
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
    shape && isOfRig(shape) ? [readCapture(shape, marks, reader.at(index))] : [],
  );
}

/** What the firmware tells, and no instrument. */
export function readProbes(
  shapes: readonly (CaptureShape | null)[],
  reader: ValueReader,
): readonly string[] {
  const names = shapes.flatMap((shape, index) =>
    shape?.signal === probeSignal ? [readProbe(shape, reader.at(index))] : [],
  );
  return [...new Set(names)];
}

function readProbe(shape: CaptureShape, reader: ValueReader): string {
  for (const key of ['during', ...figureKeys] as const)
    if (shape[key] !== undefined)
      reader
        .at(key)
        .report(`${key} does not go with probe: all that the firmware tells is kept`, null, 'key');
  if (shape.of === undefined) {
    reader.report('a capture of probe needs the name of one; add "of: NAME"');
    return '';
  }
  const name = reader.at('of').text(shape.of);
  if (!/^[a-z0-9][a-z0-9-]{0,31}$/.test(name) && !name.includes('$'))
    reader
      .at('of')
      .report(
        `"${name}" is no name of a probe; expected lower-case letters, digits and hyphens, 32 at most`,
        shape.of,
      );
  return name;
}

type OfRig = CaptureShape & { readonly signal: Signal };

function isOfRig(shape: CaptureShape): shape is OfRig {
  return shape.signal !== probeSignal;
}

function readCapture(shape: OfRig, marks: readonly string[], reader: ValueReader): CaptureRequest {
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

function checkKeys(shape: OfRig, reader: ValueReader): void {
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
