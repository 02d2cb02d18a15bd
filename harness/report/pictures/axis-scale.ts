/** A way from figures to places on paper, and the figures worth a tick. */
export interface AxisScale {
  readonly log: boolean;
  readonly from: number;
  readonly to: number;
  /** Place of a figure; figures beyond the axis are placed beyond its ends. */
  place(value: number): number;
  /** The figure at a place. */
  figure(place: number): number;
  readonly ticks: readonly number[];
}

/** Straight or logarithmic between two figures, over `start`..`end` on paper, with about `count` ticks. */
export function axisScale(
  range: { readonly from: number; readonly to: number; readonly log: boolean },
  paper: { readonly start: number; readonly end: number; readonly ticks: number },
): AxisScale {
  const { from, to, log } = range;
  const { start, end } = paper;
  const [a, b] = log ? [Math.log10(from), Math.log10(to)] : [from, to];
  const length = b - a || 1;
  return {
    log,
    from,
    to,
    place: (value) => {
      const position = log ? Math.log10(Math.max(value, Number.MIN_VALUE)) : value;
      return start + ((position - a) / length) * (end - start);
    },
    figure: (place) => {
      const position = a + ((place - start) / (end - start)) * length;
      return log ? 10 ** position : position;
    },
    ticks: log ? logTicks(from, to, paper.ticks) : linearTicks(from, to, paper.ticks),
  };
}

/** Multiples of 1, 2 or 5 times a power of ten. */
export function linearTicks(from: number, to: number, count: number): number[] {
  const rough = (to - from) / Math.max(1, count);
  if (!(rough > 0)) return [from];
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = ([1, 2, 5, 10].find((m) => m * power >= rough * 0.999) ?? 10) * power;
  const ticks: number[] = [];
  for (let k = Math.ceil(from / step - 1e-9); k * step <= to + step * 1e-9; k++) {
    // Multiplying leaves 0.30000000000000004; twelve digits are more than any tick shows.
    ticks.push(Number((k * step).toPrecision(12)));
  }
  return ticks;
}

/** Powers of ten, with 2 and 5 between them when the span is short, or every n-th power when it is long. */
export function logTicks(from: number, to: number, count: number): number[] {
  const [low, high] = [Math.floor(Math.log10(from)), Math.ceil(Math.log10(to))];
  const decades = Math.log10(to / from);
  if (decades < 1) return linearTicks(from, to, count).filter((tick) => tick > 0);
  const factors = decades * 3 <= count ? [1, 2, 5] : [1];
  const stride = Math.max(1, Math.ceil(decades / Math.max(1, count)));
  const ticks: number[] = [];
  for (let power = low; power <= high; power += stride) {
    for (const factor of factors) ticks.push(Number(`${factor}e${power}`));
  }
  return ticks.filter((tick) => tick >= from * 0.999999 && tick <= to * 1.000001);
}
