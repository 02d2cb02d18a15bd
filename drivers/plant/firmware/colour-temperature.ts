import type { LampChannel } from '../../../harness/bench/lamp.ts';

/** Two channels that together make every colour temperature between theirs (mirek = 10^6 / K). */
export interface WhitePair {
  readonly warm: LampChannel;
  readonly cool: LampChannel;
  /** mirek */
  readonly warmest: number;
  readonly coolest: number;
}

/** Channels farther than this from the locus, in x or y, are colours and not whites. */
const whiteCorridor = 0.03;

/** The warmest and the coolest white channel of a lamp; null when it has fewer than two. */
export function whitePair(channels: readonly LampChannel[]): WhitePair | null {
  const whites = channels
    .map((channel) => ({ channel, mirek: mirekOf(channel.xy) }))
    .filter(
      ({ channel, mirek }) => mirek > 100 && mirek < 600 && offLocus(channel.xy) < whiteCorridor,
    )
    .sort((a, b) => b.mirek - a.mirek);
  const warm = whites[0];
  const cool = whites.at(-1);
  if (!warm || !cool || whites.length < 2) return null;
  return {
    warm: warm.channel,
    cool: cool.channel,
    warmest: Math.floor(warm.mirek),
    coolest: Math.ceil(cool.mirek),
  };
}

/** Intensities (largest 1) of all channels for a colour temperature in mirek, held between the pair's limits. */
export function whiteMix(
  channels: readonly LampChannel[],
  { warm, cool }: WhitePair,
  mirek: number,
): number[] {
  let [low, high] = [0, 1];
  // The mix moves evenly from cool to warm with the warm channel's share of the light: halve to it.
  for (let round = 0; round < 40; round++) {
    const share = (low + high) / 2;
    if (mirekOf(mixed(warm, cool, share)) < mirek) low = share;
    else high = share;
  }
  const warmPart = (low + high) / 2 / warm.lumen;
  const coolPart = (1 - (low + high) / 2) / cool.lumen;
  const most = Math.max(warmPart, coolPart);
  return channels.map((channel) => {
    if (channel === warm) return warmPart / most;
    return channel === cool ? coolPart / most : 0;
  });
}

function mixed(warm: LampChannel, cool: LampChannel, share: number): readonly [number, number] {
  // Chromaticities mix with weights Y / y (CIE 15).
  const a = share / warm.xy[1];
  const b = (1 - share) / cool.xy[1];
  return [(a * warm.xy[0] + b * cool.xy[0]) / (a + b), (a * warm.xy[1] + b * cool.xy[1]) / (a + b)];
}

/** Correlated colour temperature in mirek after McCamy 1992; formula from memory, good to 0.3 % between 3000 and 6500 K. */
function mirekOf([x, y]: readonly [number, number]): number {
  const n = (x - 0.332) / (0.1858 - y);
  return 1e6 / (449 * n ** 3 + 3525 * n ** 2 + 6823.3 * n + 5520.33);
}

/** Distance in y from the parabola through the Planckian locus at 2700, 4000 and 6500 K (computed from those points). */
function offLocus([x, y]: readonly [number, number]): number {
  return Math.abs(y - (-2.506 * x * x + 2.532 * x - 0.224));
}
