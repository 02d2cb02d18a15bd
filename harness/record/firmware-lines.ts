import type { ConditionRecord, Finding } from './run-record.ts';

/** A line that the firmware said, on the condition's time line, s. */
export interface FirmwareLine {
  readonly at: number;
  readonly text: string;
  /** Only this channel was lit; null where the whole lamp was. */
  readonly solo: string | null;
  /** It is no line of the firmware: it stands for lines that were dropped, or for a probe that was not told. */
  readonly isGap?: true;
}

type Condition = Pick<ConditionRecord, 'firmwareLog' | 'commands' | 'probes'>;

/** All that the firmware said in a condition, by its log and beside its answers on a console, in order of time. */
export function firmwareLines(condition: Condition): readonly FirmwareLine[] {
  const { firmwareLog = [], commands, probes = [] } = condition;
  const logged = firmwareLog.flatMap(({ solo, lines, dropped }) => [
    ...lines.map((line) => ({ ...line, solo })),
    ...(dropped ? [{ at: dropped.from, text: gapText(dropped), solo, isGap: true as const }] : []),
  ]);
  const said = commands.flatMap(({ at, besides = [] }) =>
    besides.map((text) => ({ at, text, solo: null })),
  );
  // A probe that nobody told would otherwise be missed only by who looks for its picture.
  const missing = probes.flatMap(({ solo, name, missing: why }) =>
    why === undefined
      ? []
      : [{ at: 0, text: `(probe ${name}: ${why})`, solo, isGap: true as const }],
  );
  return [...missing, ...logged, ...said].toSorted((one, other) => one.at - other.at);
}

type Dropped = NonNullable<NonNullable<ConditionRecord['firmwareLog']>[number]['dropped']>;

function gapText({ lines, bytes, from, to }: Dropped): string {
  const span = `${from.toFixed(6)} s to ${to.toFixed(6)} s`;
  return `(${lines} more lines of ${bytes} bytes, ${span}, were not kept)`;
}

/**
 * What it said in the window of a finding, or in the whole condition where the finding has none, or nothing was said in it. That a probe
 * was not told is said by the finding of that probe.
 */
export function linesOfFinding(
  condition: Condition & Pick<ConditionRecord, 'marks'>,
  { during }: Pick<Finding, 'during'>,
): readonly FirmwareLine[] {
  const all = firmwareLines({ ...condition, probes: [] });
  if (during === null) return all;
  const place = condition.marks.findIndex(({ name }) => name === during);
  const from = condition.marks[place]?.at ?? Number.NEGATIVE_INFINITY;
  const to = condition.marks[place + 1]?.at ?? Number.POSITIVE_INFINITY;
  const within = all.filter(({ at }) => at >= from && at < to);
  return within.length > 0 ? within : all;
}
