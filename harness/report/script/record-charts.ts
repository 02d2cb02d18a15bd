import { firmwareLines } from '../../record/firmware-lines.ts';
import type { CaptureRecord, ConditionRecord } from '../../record/run-record.ts';
import { type StoredChart, type StoredTrace, xsOf } from '../pages/run/page-data.ts';
import type { DrawnChart } from '../pictures/drawn-chart.ts';
import { capital } from '../words/prose.ts';

export function chartToDraw(chart: StoredChart): DrawnChart {
  return { ...chart, lines: chart.lines.map((line) => ({ ...line, x: xsOf(line.x) })) };
}

/** Captures of one signal on one time axis, and what was commanded meanwhile; null where no samples are here. */
export function tracesToDraw(
  taken: readonly { readonly capture: CaptureRecord; readonly trace: StoredTrace }[],
  condition: ConditionRecord,
): DrawnChart | null {
  const [first] = taken;
  if (!first) return null;
  const captures = taken.map(({ capture }) => capture);
  const signal = first.capture.signal.replaceAll('-', ' ');
  return {
    kind: 'waveform',
    title: capital(recordTitle(captures)),
    x: { label: 'time', unit: 's', scale: 'linear' },
    y: { label: signal, unit: first.trace.unit, scale: 'linear' },
    lines: taken.map(({ capture, trace }) => ({
      name: lineName(capture, captures),
      role: 'measured',
      x: xsOf(trace.x),
      y: trace.max ?? trace.min,
      ...(trace.max ? { low: trace.min } : {}),
    })),
    marks: commandMarks(condition),
  };
}

/** `channel current of warm, cool`; a signal that there is one of only needs no more than its name. */
export function recordTitle(captures: readonly CaptureRecord[]): string {
  const signals = new Set(captures.map(({ signal }) => signal.replaceAll('-', ' ')));
  const ofs = new Set(captures.filter(({ of, signal }) => of !== signal).map(({ of }) => of));
  const name = [...signals].join(', ');
  return ofs.size > 0 ? `${name} of ${[...ofs].join(', ')}` : name;
}

/** The subject; where a picture shows two captures of one, the capture's own name. */
function lineName({ id, of }: CaptureRecord, captures: readonly CaptureRecord[]): string {
  const several = captures.filter((capture) => capture.of === of).length > 1;
  return several ? id : of;
}

/**
 * Named marks, commands, and what the firmware said; a burst of commands (a long random test) or of lines would bury the record, so it
 * is left to the table.
 */
function commandMarks(condition: ConditionRecord): { at: number; label: string }[] {
  const { commands, marks } = condition;
  const said = firmwareLines(condition).map(({ at, text }) => ({ at, label: text }));
  const named = marks.map(({ at, name }) => ({ at, label: name }));
  const sent = commands.map(({ at, verb }) => ({ at, label: verb }));
  const few = <Item>(list: readonly Item[]) => (list.length <= 12 ? list : []);
  const all = [...few(sent), ...named, ...few(said)];
  return all.filter(
    (mark, k) =>
      !all.slice(0, k).some((other) => other.at === mark.at && other.label === mark.label),
  );
}
