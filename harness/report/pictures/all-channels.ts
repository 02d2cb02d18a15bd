import type { DrawnChart } from './drawn-chart.ts';

/** More lines than these hide each other. */
const mostLines = 6;

/**
 * One picture for the channels that were told the same: the measured lines of the others join those of the chart, so that a channel that
 * goes its own way is told from a lamp that does. Channels with another command keep a picture of their own.
 */
export function withOtherChannels(own: DrawnChart, others: readonly DrawnChart[]): DrawnChart {
  const command = commandOf(own);
  if (command === null) return own;
  const lines = others
    .filter((other) => commandOf(other) === command)
    .flatMap((other) => other.lines.filter(({ role }) => role === 'measured'));
  const room = mostLines - own.lines.filter(({ role }) => role === 'measured').length;
  return { ...own, lines: [...own.lines, ...lines.slice(0, Math.max(0, room))] };
}

/** The commanded levels of a chart of light over time, to be compared; null where nothing was commanded. */
function commandOf({ kind, y, lines }: DrawnChart): string | null {
  const commanded = lines.find(({ role }) => role === 'commanded');
  if (kind !== 'waveform' || !commanded) return null;
  // Levels and not instants: a window that begins a sample later is the same command.
  const levels = commanded.y.map((level) => level.toPrecision(3));
  return [y.label, commanded.x.length, ...levels].join(' ');
}
