const blocks = '▁▂▃▄▅▆▇█';

/** Values as a line of blocks, lowest to highest; equal values lie in the middle, missing ones are a dot. */
export function sparkline(values: readonly (number | null)[]): string {
  const known = values.filter((value) => value !== null);
  const low = known.reduce((least, value) => Math.min(least, value), Number.POSITIVE_INFINITY);
  const high = known.reduce((most, value) => Math.max(most, value), Number.NEGATIVE_INFINITY);
  return values.map((value) => (value === null ? '·' : blockOf(value, low, high))).join('');
}

function blockOf(value: number, low: number, high: number): string {
  if (high === low) return blocks[3]!;
  const place = Math.floor(((value - low) / (high - low)) * blocks.length);
  return blocks[Math.min(blocks.length - 1, place)]!;
}
