import type { SupplyReading } from '../../bench/ports.ts';
import { figure } from '../figure.ts';

/** A change downwards that a supply was told, some time ago. */
export interface Lowered {
  /** V that it gave before, and V that it is to give. */
  readonly before: number;
  readonly after: number;
  /** s from its confirmation to the reading. */
  readonly since: number;
}

/** Meters of supplies average, and show what was, for so long, s (common practice, no source). */
export const meterLag = 0.3;
/** The output capacitor of no bench supply is larger, F (common practice, no source). */
const largestCapacitor = 0.02;
/** Capacitors have given away half of their voltage after this, s (common practice, no source). */
export const discharges = 2;
/** A voltage that has fallen by less than this, relative, has not begun to fall; by its port a supply reads back within it. */
const unchanged = 0.03;
/** An output that is off may read so much, A: the zero of its meter. */
export const meterZero = 0.02;

/**
 * Whether a supply gives what it was told to give no more. Charged capacitors hold a voltage up, and give a current, but the
 * voltage falls with it: a current that flows while it does not comes from an output that is on.
 */
export function stillDelivers({ volts, amps }: SupplyReading, lowered: Lowered): boolean {
  const { before, after, since } = lowered;
  if (since < meterLag || volts <= after + unchanged * before) return false;
  if (since >= discharges) return volts - after > (before - after) / 2;
  if (hasFallen(volts, before) || amps <= meterZero) return false;
  return (amps * since) / (unchanged * before) > largestCapacitor;
}

/** Whether it is less than it was, V, by more than readings differ. */
export function hasFallen(volts: number, before: number): boolean {
  return volts < (1 - unchanged) * before;
}

/** `it says that its output is off, but it reads 48 V and 1.37 A 0.5 s after it was switched off`. */
export function deliversText({ volts, amps, on }: SupplyReading, since: number): string {
  const found = `${figure(volts)} V and ${figure(amps)} A`;
  return `it says that its output is ${on ? 'on' : 'off'}, but it reads ${found} ${since.toFixed(1)} s after it was switched off`;
}
