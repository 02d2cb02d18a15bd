import { daysUntil, dueSoonDays } from '../bench/calibration-state.ts';
import type { Rig } from '../bench/rig.ts';
import type { Doubt } from './doubt.ts';

/** State of every calibrated instrument on a day (YYYY-MM-DD, local date of the bench). */
export function checkCalibration(
  instruments: ReadonlySet<string>,
  rig: Rig,
  today: string,
): Doubt[] {
  return rig.instruments
    .filter(({ name }) => instruments.has(name))
    .flatMap(({ name, calibration }) => {
      const policy = rig.calibrationPolicy;
      if (!calibration) return [doubt(policy, uncalibrated(name, policy))];
      const { due, certificate } = calibration;
      const left = daysUntil(due, today);
      if (left < 0) {
        const found = `the calibration of ${name} (${certificate}) was due on ${due}, ${-left} days ago`;
        return [doubt(policy, `${found}; the rig file says to ${policy}`)];
      }
      if (left <= dueSoonDays)
        return [
          doubt(
            'warn',
            `the calibration of ${name} (${certificate}) is due in ${left} days, on ${due}`,
          ),
        ];
      return [];
    });
}

function uncalibrated(name: string, policy: Rig['calibrationPolicy']): string {
  const found = `${name} states no calibration`;
  return policy === 'warn'
    ? `${found}; its figures are taken on trust`
    : `${found}; the rig file says to refuse, so have it calibrated and write down the certificate`;
}

function doubt(severity: Doubt['severity'], message: string): Doubt {
  return { severity, metric: null, line: null, message };
}
