import { expect, it } from 'vitest';
import type { Metric } from '../../../harness/measure/metric.ts';
import { reportedEnergyError } from '../../../harness/measure/metrics/control/reported-energy-error.ts';
import { reportedPowerError } from '../../../harness/measure/metrics/control/reported-power-error.ts';
import type { SelfReport } from '../../../harness/measure/observation.ts';
import type { Outcome } from '../../../harness/measure/outcome.ts';
import { observing, sampled } from '../light-of.ts';
import { recorded } from '../recorded.ts';

/** 48 V, and 1 A up to 4 s, then 2 A: 48 W and 96 W, sampled at 1 kS/s for 10 s. */
const volts = sampled(() => 48, 1000, 10);
const amps = sampled((at) => (at < 4 ? 1 : 2), 1000, 10);

function outcomeOf(metric: Metric, selfReports: readonly SelfReport[]): Outcome {
  const records = [
    recorded('supply-voltage', 'supply-voltage', volts),
    recorded('supply-current', 'supply-current', amps),
  ];
  return metric.compute({ ...observing(metric, volts), of: 'lamp', records, selfReports });
}

const said = (property: string, at: number, value: number, resolution = 1e-6): SelfReport => ({
  ...{ property, value, resolution },
  from: at - 0.01,
  to: at + 0.01,
});

const standardOf = (outcome: Outcome, name: string): number | undefined =>
  outcome.measured ? outcome.contributions.find((one) => one.name === name)?.standard : undefined;

it('energy is held against what was taken between the first and the last report', () => {
  // From 2 s to 8 s: 2 s of 48 W and 4 s of 96 W are 480 J.
  const reports = [
    said('active-energy', 2, 1000),
    said('active-energy', 5, 1192),
    said('active-energy', 8, 1528),
  ];
  const outcome = outcomeOf(reportedEnergyError, reports);
  expect(outcome).toMatchObject({ measured: true, value: expect.closeTo(528 / 480 - 1, 6) });
});

it('steps of the meter, and instants that are not known, are its uncertainty', () => {
  const reports = [said('active-energy', 2, 1000, 3.6), said('active-energy', 8, 1480, 3.6)];
  const outcome = outcomeOf(reportedEnergyError, reports);
  // Two steps of 3.6 J in 480 J, and two instants within 20 ms in 6 s, each a rectangle (JCGM 100:2008, 4.3.7).
  expect(standardOf(outcome, 'steps of the reports')).toBeCloseTo(
    (3.6 * Math.sqrt(2 / 12)) / 480,
    9,
  );
  expect(standardOf(outcome, 'instants of the reports')).toBeCloseTo(
    (0.02 * Math.sqrt(2 / 12)) / 6,
    9,
  );
});

it('one report of energy says nothing', () => {
  expect(outcomeOf(reportedEnergyError, [said('active-energy', 2, 1000)])).toMatchObject({
    measured: false,
    reason: 'no-record',
  });
});

it('power is held against the mean over the window', () => {
  // (4 s x 48 W + 6 s x 96 W) / 10 s = 76.8 W.
  const outcome = outcomeOf(reportedPowerError, [said('active-power', 5, 84.48, 1)]);
  expect(outcome).toMatchObject({ measured: true, value: expect.closeTo(0.1, 6) });
  // A step of 1 W either way: a rectangle of half-width 1 W.
  expect(standardOf(outcome, 'step of the report')).toBeCloseTo(1 / Math.sqrt(3) / 76.8, 9);
  expect(outcomeOf(reportedPowerError, [said('active-energy', 5, 84)])).toMatchObject({
    measured: false,
    reason: 'no-record',
  });
});
