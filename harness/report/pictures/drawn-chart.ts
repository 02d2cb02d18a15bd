import type { CaptureRecord, CommandRecord, ConditionRecord } from '../../record/run-record.ts';
import { type StoredChart, type StoredTrace, xsOf } from '../pages/run/page-data.ts';

/** A chart ready to draw: every line with its own x, a trace with the lower edge of its band beside it. */
export interface DrawnChart {
  readonly kind: StoredChart['kind'];
  readonly title: string;
  readonly x: StoredChart['x'];
  readonly y: StoredChart['y'];
  readonly lines: readonly DrawnLine[];
  readonly marks: StoredChart['marks'];
}

export interface DrawnLine {
  readonly name: string;
  readonly role: StoredChart['lines'][number]['role'];
  readonly x: readonly number[];
  readonly y: readonly number[];
  /** Lowest samples, where `y` holds the highest of each interval. */
  readonly low?: readonly number[];
}

export function chartToDraw(chart: StoredChart): DrawnChart {
  return { ...chart, lines: chart.lines.map((line) => ({ ...line, x: xsOf(line.x) })) };
}

/** Captures of one signal on one time axis, and what was commanded meanwhile. */
export function tracesToDraw(
  taken: readonly { readonly capture: CaptureRecord; readonly trace: StoredTrace }[],
  condition: ConditionRecord,
): DrawnChart {
  const captures = taken.map(({ capture }) => capture);
  const { signal } = taken[0]!.capture;
  return {
    kind: 'waveform',
    title: capital(recordTitle(captures)),
    x: { label: 'time', unit: 's', scale: 'linear' },
    y: { label: signal.replaceAll('-', ' '), unit: taken[0]!.trace.unit, scale: 'linear' },
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
  const { signal } = captures[0]!;
  const name = signal.replaceAll('-', ' ');
  const ofs = new Set(captures.map(({ of }) => of).filter((of) => of !== signal));
  return ofs.size > 0 ? `${name} of ${[...ofs].join(', ')}` : name;
}

/** The subject; where a picture shows two captures of one, the capture's own name. */
function lineName({ id, of }: CaptureRecord, captures: readonly CaptureRecord[]): string {
  const several = captures.filter((capture) => capture.of === of).length > 1;
  return several ? id : of;
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** Commands and named marks; a burst of commands (a long random test) would bury the record, so it is left to the table. */
function commandMarks({ commands, marks }: ConditionRecord): { at: number; label: string }[] {
  const named = marks.map(({ at, name }) => ({ at, label: name }));
  const sent = commands.map((command: CommandRecord) => ({ at: command.at, label: command.verb }));
  const all = commands.length <= 12 ? [...sent, ...named] : named;
  return all.filter(
    (mark, k) =>
      !all.slice(0, k).some((other) => other.at === mark.at && other.label === mark.label),
  );
}
