import type { CheckStandard } from '../../bench/look-schema.ts';
import type { ReadingBefore } from '../../record/rig-record.ts';
import type { RunRecord } from '../../record/run-record.ts';
import { fewestBaseline, type JudgedStandard, standardChart } from '../../record/standard-chart.ts';
import { wallClock } from '../wall-clock.ts';
import type { BenchCheck } from './bench-checks.ts';
import type { BenchLook } from './bench-look.ts';
import { addStandard, readStandards, type StandardEntry, seriesOf } from './standard-history.ts';

/** The chart as the run keeps it. */
export type StandardRecord = NonNullable<RunRecord['rig']['standard']>;

/** Points that a run keeps of the chart: enough to see a drift. */
const kept = 60;

/** Where the history lies: beside the rig file, of which the path is absolute; and whether the last claim is over. */
interface StandardHistory {
  readonly rigFile: string;
  readonly when?: 'after';
}

/**
 * Measures the check standard, adds it to the history beside the rig file and holds it against its own past: what is measured after runs has
 * a history of its own, since lamp and bench are warmer then. A broken rule is not good, whatever it is to do to the run. Rejects with a
 * Complaint where the history cannot be kept, with a BenchError where an instrument fails.
 */
export async function checkStandard(
  wanted: CheckStandard,
  look: BenchLook,
  { rigFile, when }: StandardHistory,
): Promise<{
  readonly check: BenchCheck;
  readonly chart: StandardRecord;
  readonly reading: ReadingBefore;
}> {
  const history = await readStandards(rigFile);
  const entry = { ...(await measured(wanted, look)), ...(when && { when }) };
  await addStandard(rigFile, entry);
  const judged = standardChart(seriesOf([...history, entry], entry));
  const last = judged.at(-1);
  const text = last ? standardWords(last, judged.length, entry) : '';
  const { at, standard: light, value, unit, 'standard-uncertainty': standard } = entry;
  return {
    check: { check: 'check-standard', good: !last?.rule, text },
    chart: chartRecord(entry, judged),
    reading: { at, light, value, standard, unit },
  };
}

async function measured(
  { standard, lit, level }: CheckStandard,
  look: BenchLook,
): Promise<StandardEntry> {
  if (lit === 'lamp') {
    await look.powerUp();
    await look.light(look.all, level);
  } else await look.powerOff();
  const { mean, standard: uncertainty } = await look.read();
  const { signal, of, scale, offset, unit } = look.wire;
  return {
    at: wallClock.now(),
    ...{ standard, signal, of, lit, level, scale, offset, unit },
    value: Number(mean.toPrecision(9)),
    'standard-uncertainty': Number(uncertainty.toPrecision(4)),
  };
}

/** What the last point says, in a clause. */
export function standardWords(
  { value, limits, rule }: JudgedStandard,
  number: number,
  { standard, unit }: Pick<StandardEntry, 'standard' | 'unit'>,
): string {
  const read = `${standard} reads ${figure(value)} ${unit}`;
  if (!limits) return `${read}; measurement ${number}, and limits hold after ${fewestBaseline}`;
  const { centre, deviation, action, baseline } = limits;
  const off = (value - centre) / deviation;
  const found = `${read}, ${off >= 0 ? '+' : ''}${off.toFixed(1)} s from its mean of ${figure(centre)} ${unit} over ${baseline}; ± ${figure(action)} ${unit} allowed`;
  return rule === null
    ? found
    : `${found}; ${rule}: the bench, or the standard, is not what it was`;
}

function chartRecord(
  { standard, signal, of, unit }: StandardEntry,
  judged: readonly JudgedStandard[],
): StandardRecord {
  const last = judged.at(-1);
  const { centre, warning, action, baseline } = last?.limits ?? {};
  return {
    ...{ standard, signal, of, unit },
    limits:
      centre === undefined || warning === undefined || action === undefined
        ? null
        : { centre, warning, action, baseline: baseline ?? 0 },
    points: judged.slice(-kept).map(({ at, value, standard: uncertainty, rule }) => ({
      at,
      value,
      standard: uncertainty,
      rule,
    })),
  };
}

function figure(value: number): string {
  return String(Number(value.toPrecision(5)));
}
