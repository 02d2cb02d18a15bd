import { BenchError } from '../../bench/errors.ts';
import type { Rig } from '../../bench/rig.ts';
import { meanOfRecord } from '../records/mean-of-record.ts';
import type { RawRecord } from '../records/raw-record.ts';
import type { SupplyWatch } from './supply-watch.ts';
import { type Span, type SwitchWatch, switchError } from './switch-watch.ts';

/** A lamp that has been without power for this long does not shine as before, s; afterglow is over (common practice, no source). */
const dark = 2;
/** s of the record that are averaged, before and after. */
const looked = 0.2;
/** Of the light before: light that has not changed. Afterglow falls. */
const unchanged = 0.9;
/** Means of noise and of a dark offset are no light. */
const leastLight = 10;

/** What was told to take the lamp's power away in the course of a condition; the switch where there is one. */
interface Switching {
  readonly rig: Rig;
  readonly relay: Pick<SwitchWatch, 'off'> | null;
  readonly power: Pick<SupplyWatch, 'off'> | null;
}

/** Throws BenchError `refused` or `supply-fault` where the light is the same long after the power was switched off. */
export function checkLightAfterOff(
  { relay, power, rig }: Switching,
  records: readonly RawRecord[],
): void {
  for (const { from, to } of (relay ?? power)?.off ?? []) {
    const lit = records
      .filter(({ capture }) => capture.signal === 'light')
      .map((record) => litAfter(record, { from, to }))
      .find((words) => words !== null);
    if (!lit) continue;
    throw relay
      ? switchError(rig.switch?.instrument ?? '', `it was switched off, but ${lit}`)
      : new BenchError(
          'supply-fault',
          rig.supply?.instrument ?? '',
          `it says that its output is off, but ${lit}: it was not switched off, or something else feeds the lamp. What the lamp does then says nothing about the firmware: look at the supply and its wires`,
        );
  }
}

/** In a clause, where the light after a time without power is as before. */
function litAfter(record: RawRecord, { from, to }: Span): string | null {
  const end = Math.min(to, endOf(record));
  if (end < from + dark + looked) return null;
  const before = meanOfRecord(record, { from: from - looked, to: from }).mean;
  const after = meanOfRecord(record, { from: end - looked, to: end }).mean;
  const { standardOffset, noise } = record.capture.wire;
  if (!(before > leastLight * Math.max(standardOffset, noise / 10))) return null;
  if (after < unchanged * before) return null;
  const share = ((100 * after) / before).toFixed(0);
  return `the light of the lamp is still at ${share} % ${(end - from).toFixed(1)} s later`;
}

function endOf({ raw }: RawRecord): number {
  return raw.start + raw.codes.length / raw.rate;
}
