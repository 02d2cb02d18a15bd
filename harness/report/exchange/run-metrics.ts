import { verdictWithBench } from '../../record/bench-after.ts';
import { marginOf } from '../../record/margin.ts';
import { partsOfRun } from '../../record/parts-of-run.ts';
import { isHeldBack, verdictOfGate } from '../../record/quarantine.ts';
import type { RunRecord, SpecRecord } from '../../record/run-record.ts';
import { endings, severity } from '../../verdict/verdict.ts';
import { type Family, renderFamilies, type Sample } from './metric-families.ts';

/**
 * A run as metrics for monitoring: OpenMetrics 1.0 text (from memory), which the collectors of text files read. What counts for a gate, how many
 * claims ended how, how close the closest finding of each claim is to its limit, and when each calibration ends. Times are Unix seconds.
 */
export function renderRunMetrics(record: RunRecord): string {
  return renderFamilies(familiesOf(record));
}

function familiesOf(record: RunRecord): readonly Family[] {
  const { lamp, rig, specs, id, totals, safeState } = record;
  const gate = verdictWithBench(verdictOfGate(specs), record);
  const count = (wanted: string): number =>
    specs.filter(({ verdict }) => verdict === wanted).length;
  return [
    {
      ...{ name: 'evenfall_run', type: 'info', help: 'The run that the other figures are of.' },
      samples: [[{ run: id, lamp: lamp.name, build: lamp.build, rig: rig.name }, 1]],
    },
    {
      ...{ name: 'evenfall_run_verdict', type: 'stateset' },
      help: 'Verdict of the claims that are in no quarantine.',
      samples: endings.map((ending) => [{ evenfall_run_verdict: ending }, Number(ending === gate)]),
    },
    time('evenfall_run_started', 'When the run began.', record.startedAt),
    time('evenfall_run_ended', 'When the run ended.', record.endedAt),
    seconds('evenfall_run_duration', 'How long the run took.', totals.wallTime),
    seconds('evenfall_run_lamp_time', 'Lamp time of its conditions.', totals.lampTime),
    {
      ...{ name: 'evenfall_claims', type: 'gauge', help: 'Claims by their verdict.' },
      samples: severity.map((verdict) => [{ verdict }, count(verdict)]),
    },
    {
      ...{ name: 'evenfall_claims_quarantined', type: 'gauge' },
      help: 'Claims that do not hold and are in quarantine.',
      samples: [[{}, specs.filter(isHeldBack).length]],
    },
    {
      ...{ name: 'evenfall_claim_margin_ratio', type: 'gauge', unit: 'ratio' },
      help: 'Share of the tolerance that the closest finding of a claim leaves; below 0 beyond the limit.',
      samples: specs.flatMap(marginSample),
    },
    {
      ...{ name: 'evenfall_safe_state_confirmed', type: 'gauge' },
      help: '1 where the bench was read back as safe after the run.',
      samples: [[{}, Number(safeState.confirmed)]],
    },
    {
      ...{ name: 'evenfall_calibration_due_timestamp_seconds', type: 'gauge', unit: 'seconds' },
      help: 'Day on which the calibration of an instrument is due.',
      samples: dueSamples(record),
    },
  ];
}

function time(name: string, help: string, instant: string | null): Family {
  const samples: Sample[] = instant === null ? [] : [[{}, Date.parse(instant) / 1000]];
  return { name: `${name}_timestamp_seconds`, type: 'gauge', unit: 'seconds', help, samples };
}

function seconds(name: string, help: string, value: number): Family {
  return { name: `${name}_seconds`, type: 'gauge', unit: 'seconds', help, samples: [[{}, value]] };
}

function marginSample({ spec, folder, conditions }: SpecRecord): readonly Sample[] {
  const margins = conditions
    .flatMap(({ findings }) => findings)
    .flatMap(({ outcome, limits: { lower, upper } }) =>
      outcome.measured ? [marginOf({ value: outcome.value, lower, upper })] : [],
    )
    .filter(Number.isFinite);
  return margins.length === 0 ? [] : [[{ claim: spec, folder }, Math.min(...margins)]];
}

function dueSamples(record: RunRecord): readonly Sample[] {
  const due = partsOfRun(record).flatMap(({ rig }) =>
    rig.instruments.flatMap(({ name, calibration }) =>
      calibration
        ? [[{ rig: rig.name, instrument: name }, Date.parse(calibration.due) / 1000] as Sample]
        : [],
    ),
  );
  const known = new Set<string>();
  return due.filter(([labels]) => {
    const key = JSON.stringify(labels);
    return !known.has(key) && known.add(key);
  });
}
