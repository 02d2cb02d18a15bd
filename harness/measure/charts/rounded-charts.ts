import type { Axis, Chart } from '../evidence.ts';

/** Decimals of a step over the width of a linear axis; a logarithmic one has one significant digit more. */
interface Finest {
  readonly decimals: number;
}

/** A hundred times finer than a screen's: instants are told apart, and evenly spaced ones stay so. */
const across: Finest = { decimals: 5 };
/** Ten times finer: what is measured has noise, which takes nearly all of the room. */
const upwards: Finest = { decimals: 4 };

/**
 * Charts with coordinates no finer than anybody can see, which makes a stored run half as large. The captures keep what
 * was measured; figures are not rounded.
 */
export function roundedCharts(charts: readonly Chart[]): Chart[] {
  return charts.map((chart) => ({
    ...chart,
    lines: chart.lines.map((line) => ({
      ...line,
      x: rounded(line.x, chart.x, across),
      y: rounded(line.y, chart.y, upwards),
    })),
  }));
}

function rounded(values: readonly number[], { scale }: Axis, finest: Finest): readonly number[] {
  if (scale === 'log')
    return values.map((value) => nearest(value, finest.decimals - decade(value)));
  let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const value of values) {
    if (value < low) low = value;
    if (value > high) high = value;
  }
  // A level line has no width of its own.
  const width = high > low ? high - low : Math.abs(high);
  const decimals = finest.decimals - decade(width);
  return values.map((value) => nearest(value, decimals));
}

function decade(value: number): number {
  return value === 0 ? 0 : Math.floor(Math.log10(Math.abs(value)));
}

/** To so many decimals; beyond what a power of ten can hold exactly the value stays as it is. */
function nearest(value: number, decimals: number): number {
  if (!Number.isFinite(value) || Math.abs(decimals) > 22) return value;
  const power = 10 ** Math.abs(decimals);
  const result =
    decimals < 0 ? Math.round(value / power) * power : Math.round(value * power) / power;
  return Number.isFinite(result) ? result : value;
}
