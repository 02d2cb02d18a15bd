import type { PathStep } from '../files/issue.ts';
import type { IssueList } from '../files/issue-list.ts';
import { type FigureOptions, readFigure } from '../files/read-figure.ts';
import { type Signal, signals } from '../measure/signals.ts';
import { parseQuantity } from '../units/parse-quantity.ts';
import { type Dimension, siUnit } from '../units/unit.ts';
import type { DarkRecord } from './dark-record.ts';
import type { Wire } from './rig.ts';
import type { WireShape } from './rig-schema.ts';

/** One line of the wiring: a wire, or one per input where it lists `inputs`. Without wires where it has issues. */
export function readWire(
  shape: WireShape,
  path: readonly PathStep[],
  issues: IssueList,
): readonly Wire[] {
  const before = issues.count;
  const { signal } = shape;
  const scale = readScale(shape.scale, signal);
  if ('problem' in scale) {
    issues.add([...path, 'scale'], scale.problem);
    return [];
  }
  const read: ReadInUnit = (found, place, options) => {
    const figure = readFigure(found, scale.dimension, options);
    if ('value' in figure) return figure.value;
    issues.add([...path, ...place], figure.problem);
    return Number.NaN;
  };
  const figure = (key: 'standard-offset' | 'noise' | 'full-scale', options: FigureOptions) =>
    read(shape[key], [key], options);
  const rest = {
    signal,
    of: shape.of ?? 'all',
    instrument: shape.instrument,
    scale: scale.value,
    offset: shape.offset ?? 0,
    unit: siUnit[scale.dimension],
    standardScale: shape['standard-scale'],
    standardOffset: figure('standard-offset', { least: 0 }),
    noise: figure('noise', { least: 0 }),
    ...(shape.dark && { dark: darkOf(shape.dark, read) }),
    bandwidth: shape.bandwidth,
    ...(shape['anti-alias'] !== undefined && { antiAlias: shape['anti-alias'] }),
    bits: shape.bits,
    fullScale: figure('full-scale', { above: 0 }),
    ...(shape.calibration && { calibration: shape.calibration }),
    ...(shape.budget && { budget: shape.budget }),
  };
  const inputs = readInputs(shape, path, issues);
  return issues.count > before ? [] : inputs.map((input) => ({ ...rest, input }));
}

/** A figure in the unit of the wire, or NaN and an issue at its place in the line. */
type ReadInUnit = (
  found: string | number,
  place: readonly PathStep[],
  options: FigureOptions,
) => number;

function darkOf(
  { date, length, rate, noise, corner = 0, drift, lines }: NonNullable<WireShape['dark']>,
  read: ReadInUnit,
): DarkRecord {
  return {
    date,
    length,
    rate,
    noise: read(noise, ['dark', 'noise'], { least: 0 }),
    corner,
    drift: drift === undefined ? 0 : read(drift, ['dark', 'drift'], {}),
    lines: lines.map(({ frequency, amplitude }, index) => ({
      frequency,
      amplitude: read(amplitude, ['dark', 'lines', index, 'amplitude'], { least: 0 }),
    })),
  };
}

/** `0.2 A/V`: a quantity per volt. */
function readScale(
  found: string | number,
  signal: Signal,
): { readonly value: number; readonly dimension: Dimension } | { readonly problem: string } {
  const { dimensions: wanted } = signals[signal];
  const expected = `expected what one volt stands for, such as 0.2 ${siUnit[wanted[0]]}/V`;
  const match = /^(.*)\/\s*V\s*$/.exec(String(found));
  if (!match) return { problem: `${expected}, found ${found}` };
  const parsed = parseQuantity(match[1] ?? '');
  if (!parsed.ok) return { problem: `${expected}, but ${parsed.problem}` };
  const { value, dimension } = parsed.quantity;
  if (!wanted.includes(dimension)) {
    const units = wanted.map((own) => `${siUnit[own]}/V`).join(' or ');
    return { problem: `expected ${units} for ${signal}, found ${found}` };
  }
  // A negative scale is an inverted probe; zero would make every record zero.
  if (value === 0) return { problem: `${expected}, found 0` };
  return { value, dimension };
}

function readInputs(
  shape: WireShape,
  path: readonly PathStep[],
  issues: IssueList,
): readonly string[] {
  const { input, inputs, of } = shape;
  if ((input === undefined) === (inputs === undefined)) {
    const found = input === undefined ? 'neither' : 'both';
    issues.add(path, `expected either "input" or "inputs", found ${found}`);
    return [];
  }
  if (inputs && of !== 'each') {
    issues.add([...path, 'inputs'], 'a list of inputs goes with "of: each"; use "input" here');
    return [];
  }
  return inputs ?? (input === undefined ? [] : [input]);
}
