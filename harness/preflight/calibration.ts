import { daysUntil, dueSoonDays } from '../bench/calibration-state.ts';
import type { Rig, Wire, WireCalibration } from '../bench/rig.ts';
import type { Doubt } from './doubt.ts';

/**
 * State of every calibration that a claim rests on, on a day (YYYY-MM-DD, local date of the bench): that of the wire, which
 * is of the sensor and its chain, or the instrument's where the wire has none.
 */
export function checkCalibration(
  wires: ReadonlySet<Wire>,
  rig: Rig,
  today: string,
): readonly Doubt[] {
  const named = new Map<string, WireCalibration | undefined>();
  for (const { name, calibration } of rig.instruments) {
    const own = [...wires].filter(({ instrument }) => instrument === name);
    for (const { signal, of, calibration: chain } of own)
      if (chain) named.set(of === 'all' ? signal : `${signal} of ${of}`, chain);
    if (own.some((wire) => !wire.calibration)) named.set(name, calibration);
  }
  return [...named].flatMap(([name, calibration]) => doubtsOf(name, calibration, rig, today));
}

function doubtsOf(
  name: string,
  calibration: WireCalibration | undefined,
  { calibrationPolicy: policy }: Rig,
  today: string,
): Doubt[] {
  if (!calibration) return [doubt(policy, uncalibrated(name, policy))];
  const { due, certificate } = calibration;
  const left = daysUntil(due, today);
  if (left < 0) {
    const found = `the calibration of ${name} (${certificate}) was due on ${due}, ${-left} days ago`;
    return [doubt(policy, `${found}; the rig file says to ${policy}`)];
  }
  const soon = `the calibration of ${name} (${certificate}) is due in ${left} days, on ${due}`;
  return left <= dueSoonDays ? [doubt('warn', soon)] : [];
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
