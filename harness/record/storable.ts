import type { ConditionRecord, Finding, RunRecord } from './run-record.ts';

/*
 * JSON knows no infinity and no NaN. Where such a figure only explains (how much was found, a point of a chart, a note)
 * the run must not be lost for it: it is left out, or told in words. A value, a limit or an uncertainty that is not
 * finite stays as it is and is refused by the schema: it would carry a verdict that nobody can stand behind.
 */

/** The record without explanatory figures that cannot be stored; the same object where there are none. */
export function storableRecord(record: RunRecord): RunRecord {
  const specs = mapSame(record.specs, (spec) => {
    const conditions = mapSame(spec.conditions, storableCondition);
    return conditions === spec.conditions ? spec : { ...spec, conditions };
  });
  return specs === record.specs ? record : { ...record, specs };
}

export function storableCondition(condition: ConditionRecord): ConditionRecord {
  const findings = mapSame(condition.findings, storableFinding);
  return findings === condition.findings ? condition : { ...condition, findings };
}

function storableFinding(finding: Finding): Finding {
  const outcome = storableOutcome(finding.outcome);
  const charts = mapSame(finding.evidence.charts, storableChart);
  const notes = storableNotes(finding.evidence.notes);
  const same =
    outcome === finding.outcome &&
    charts === finding.evidence.charts &&
    notes === finding.evidence.notes;
  return same ? finding : { ...finding, outcome, evidence: { charts, notes } };
}

function storableOutcome(outcome: Finding['outcome']): Finding['outcome'] {
  if (outcome.measured || (isFinal(outcome.found) && isFinal(outcome.needed))) return outcome;
  const { found, needed, ...rest } = outcome;
  return {
    ...rest,
    ...(found !== undefined && Number.isFinite(found) ? { found } : {}),
    ...(needed !== undefined && Number.isFinite(needed) ? { needed } : {}),
  };
}

function isFinal(figure: number | undefined): boolean {
  return figure === undefined || Number.isFinite(figure);
}

type Notes = Finding['evidence']['notes'];

function storableNotes(notes: Notes): Notes {
  const bad = Object.values(notes).some((note) => typeof note === 'number' && !isFinal(note));
  if (!bad) return notes;
  return Object.fromEntries(
    Object.entries(notes).map(([name, note]) => [
      name,
      typeof note === 'number' && !isFinal(note) ? String(note) : note,
    ]),
  );
}

type Chart = Finding['evidence']['charts'][number];

function storableChart(chart: Chart): Chart {
  const lines = mapSame(chart.lines, (line) => {
    const kept = line.x.map((x, k) => isFinal(x) && isFinal(line.y[k]));
    if (kept.every(Boolean)) return line;
    return { ...line, x: line.x.filter((_, k) => kept[k]), y: line.y.filter((_, k) => kept[k]) };
  });
  const marks = chart.marks.every(({ at }) => isFinal(at))
    ? chart.marks
    : chart.marks.filter(({ at }) => isFinal(at));
  return lines === chart.lines && marks === chart.marks ? chart : { ...chart, lines, marks };
}

/** `map` that returns the list itself when nothing in it changed. */
function mapSame<Item>(list: Item[], change: (item: Item) => Item): Item[] {
  const changed = list.map(change);
  return changed.every((item, index) => item === list[index]) ? list : changed;
}
