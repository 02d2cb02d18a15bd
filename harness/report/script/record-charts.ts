import { probeChart } from '../../measure/charts/probe-chart.ts';
import { explainNotMeasurable } from '../../measure/explain.ts';
import { probeStretches } from '../../measure/features/probe-stretches.ts';
import { isMeasurable } from '../../measure/outcome.ts';
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
    ...(condition.probes && { gutter: sharedGutter }),
  };
}

/** Room for figures of any probe, px. */
const sharedGutter = 66;

type Probe = NonNullable<ConditionRecord['probes']>[number];

/** A variable of the firmware, to stand under records of the same span; or why there is nothing to draw, in a sentence. */
export function probeToDraw(
  probe: Probe,
  condition: ConditionRecord,
  span: { readonly from: number; readonly to: number },
): DrawnChart | string {
  const { name, missing, until = null, late: _, ...track } = probe;
  const told = { ...track, name, until, ...(missing !== undefined && { missing }) };
  const found = probeStretches({ of: name, probes: [told] }, span);
  if (!isMeasurable(found)) return `${capital(explainNotMeasurable(found))}.`;
  const chart = probeChart(told, found.stretches, span);
  const marks = commandMarks(condition).filter(({ at }) => at >= span.from && at <= span.to);
  const title = probe.solo === null ? chart.title : `${chart.title}, ${probe.solo} alone`;
  return { ...chart, title, marks, gutter: sharedGutter };
}

/** What the records of a finding span, s; the whole condition where there are none. */
export function spanOfRecords(
  captures: readonly CaptureRecord[],
  { duration }: ConditionRecord,
): { readonly from: number; readonly to: number } {
  if (captures.length === 0) return { from: 0, to: duration };
  const ends = captures.map(({ start, samples, rate }) => start + samples / rate);
  return { from: Math.min(...captures.map(({ start }) => start)), to: Math.max(...ends) };
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
  const lines = firmwareLines(condition).filter(({ isGap }) => !isGap);
  const said = lines.map(({ at, text }) => ({ at, label: text }));
  const named = marks.map(({ at, name }) => ({ at, label: name }));
  const sent = commands.map(({ at, verb }) => ({ at, label: verb }));
  const few = <Item>(list: readonly Item[]) => (list.length <= 12 ? list : []);
  const all = [...few(sent), ...named, ...few(said)];
  return all.filter(
    (mark, k) =>
      !all.slice(0, k).some((other) => other.at === mark.at && other.label === mark.label),
  );
}
