import type { Lamp } from '../../bench/lamp.ts';
import { levelAt } from '../../plan/commanded.ts';
import type { Condition } from '../../plan/plan.ts';
import { plannedLight } from '../../plan/planned-light.ts';
import { markWindow, type Schedule, schedule } from '../../plan/schedule.ts';
import { formatQuantity } from '../../units/format-quantity.ts';

/** Height of a bar per decade of light: full, then a tenth at a time, the way the eye and the dimming curve see it. */
const bars = [' ', '▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'] as const;
const decades = 4;

/** The commanded light of each channel, the windows and the records of a condition, drawn in `columns` characters. */
export function timeLine(condition: Condition, lamp: Lamp, columns: number): string[] {
  const plan = schedule(condition.stimulus, lamp);
  const { duration } = plan;
  if (duration === 0) return [];
  const names = [
    ...lamp.channels.map(({ channel }) => channel),
    ...condition.captures.map(({ signal }) => signal),
    'window',
  ];
  const label = Math.max(...names.map((name) => name.length)) + 1;
  const width = Math.max(20, Math.min(columns - label - 3, 120));
  const light = plannedLight(plan, lamp).finish(duration).channels;
  const instants = Array.from({ length: width }, (_, index) => ((index + 0.5) / width) * duration);
  const row = (name: string, cells: readonly string[]): string =>
    `${name.padEnd(label)}|${cells.join('')}|`;
  const channels = light.map(({ channel, segments }) => {
    const level = (at: number): number => {
      const segment = segments.find(({ from, to }) => at >= from && at < to);
      return segment ? levelAt(segment, at, lamp) : 0;
    };
    return row(
      channel,
      instants.map((at) => bar(level(at))),
    );
  });
  const records = condition.captures.map(({ signal, during }) => {
    const { from, to } = markWindow(plan, during) ?? { from: 0, to: duration };
    return row(
      signal,
      instants.map((at) => (at >= from && at < to ? '=' : ' ')),
    );
  });
  const scale = `${' '.repeat(label)} 0${formatQuantity(duration, 'time').padStart(width - 1)}`;
  return [...channels, ...[...new Set(records)], row('window', windows(plan, width)), scale];
}

/** The names of the marks where they open their windows, as far as there is room. */
function windows(plan: Schedule, width: number): string[] {
  const cells = Array.from({ length: width }, () => ' ');
  for (const { name, at } of plan.marks) {
    const start = Math.min(width - 1, Math.floor((at / plan.duration) * width));
    [...`[${name}`].forEach((character, index) => {
      if (start + index < width) cells[start + index] = character;
    });
  }
  return cells;
}

function bar(level: number): string {
  if (level <= 0) return bars[0];
  const part = 1 + Math.log10(level) / decades;
  const index = Math.max(1, Math.min(bars.length - 1, Math.round(part * (bars.length - 1))));
  return bars[index] ?? bars[0];
}
