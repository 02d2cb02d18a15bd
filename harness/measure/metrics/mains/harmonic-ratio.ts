import { mainsChart } from '../../charts/mains-charts.ts';
import type { Chart } from '../../evidence.ts';
import { classCLimit, classCPower } from '../../features/mains/class-c-limits.ts';
import { type Harmonics, harmonicNotes, harmonics } from '../../features/mains/harmonics.ts';
import { attenuation, spuriousCurrent, windowDoubt } from '../../features/mains/mains-doubt.ts';
import { mainsPower } from '../../features/mains/mains-power.ts';
import { type MainsRecord, mainsRecord } from '../../features/mains/mains-record.ts';
import type { Metric } from '../../metric.ts';
import { mainsNeed } from '../../needs.ts';
import { oneSided } from '../../one-sided.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';

/**
 * Largest harmonic of the mains current against its limit for lighting: 1 is on the limit of its order.
 * Inputs: mains voltage (V) and mains current (A), sampled together. Output: number.
 * Not measurable: one of the two missing, no mains frequency, 25 W of active power or less (other limits hold there).
 * Floor: what noise and rounding leave in a harmonic.
 * Fooled by: a mains voltage that is distorted itself; a lamp dimmed or warm where the limit speaks of full load; a
 * clamp whose ratio falls with frequency.
 * Source: IEC 61000-3-2 class C, above 25 W; pre-compliance: source impedance, supply distortion and control states
 * of the standard's procedure are not checked.
 */
export const harmonicRatio: Metric = {
  id: 'harmonic-ratio',
  title: 'Worst mains harmonic against its class C limit',
  family: 'mains',
  unit: '1',
  dimension: 'number',
  shown: '1',
  needs: mainsNeed,
  parameters: [],
  source: 'iec-61000-3-2',
  blindTo: ['scale', 'time-base', 'offset'],
  compute(observation, { evidence = true } = {}) {
    const record = mainsRecord(observation);
    if (!isMeasurable(record)) return record;
    const power = mainsPower(record);
    if (!isMeasurable(power)) return power;
    if (power.active <= classCPower) {
      const facts = { found: power.active, needed: classCPower, unit: 'W' };
      return notMeasurable('out-of-domain', { ...facts, note: 'active power' });
    }
    const spectrum = harmonics(record.current, record.periods);
    const shares = limitedShares(spectrum, power.powerFactor);
    const worst = worstOf(shares);
    const notes = {
      'worst-order': worst.order,
      'power-factor': power.powerFactor,
      'active-power': power.active,
      ...harmonicNotes(spectrum),
    };
    const charts = [harmonicChart(shares), mainsChart(record)];
    return measured(
      worst.share / worst.limit,
      evidence ? { charts, notes } : noEvidence,
      [
        windowDoubt(record, worstRatio),
        { name: 'averaging over a sample', standard: oneSided * averaged(record, shares) },
      ],
      floorOf(record, spectrum, shares),
    );
  },
};

/** A harmonic that has a limit, both as parts of the fundamental. */
interface LimitedShare {
  readonly order: number;
  readonly share: number;
  readonly limit: number;
}

function limitedShares(
  { byOrder, fundamental }: Harmonics,
  powerFactor: number,
): readonly LimitedShare[] {
  return byOrder.flatMap(({ rms }, order) => {
    const limit = classCLimit(order, powerFactor);
    return limit ? [{ order, share: rms / fundamental.rms, limit }] : [];
  });
}

function ratioOf({ share, limit }: LimitedShare): number {
  return share / limit;
}

const none: LimitedShare = { order: 0, share: 0, limit: 1 };

function worstOf(shares: readonly LimitedShare[]): LimitedShare {
  return shares.reduce((worst, own) => (ratioOf(own) > ratioOf(worst) ? own : worst), none);
}

/** The ratio over other periods of the record; the power factor that its limit rests on is of these. */
function worstRatio(record: MainsRecord): number {
  const power = mainsPower(record);
  if (!isMeasurable(power)) return Number.NaN;
  const spectrum = harmonics(record.current, record.periods);
  return ratioOf(worstOf(limitedShares(spectrum, power.powerFactor)));
}

/** By how much the ratio is larger where the samples are means and the sensor is slow. */
function averaged({ current, periods }: MainsRecord, shares: readonly LimitedShare[]): number {
  const factor = (order: number) => attenuation(current, order * periods.frequency);
  const restored = shares.map((own) => ({
    ...own,
    share: (own.share * factor(own.order)) / factor(1),
  }));
  return ratioOf(worstOf(restored)) - ratioOf(worstOf(shares));
}

/** What noise and rounding leave in the order that has the lowest limit. */
function floorOf(
  { current, periods }: MainsRecord,
  { fundamental }: Harmonics,
  shares: readonly LimitedShare[],
): number {
  const lowest = Math.min(...shares.map(({ limit }) => limit));
  return spuriousCurrent(current, periods).single / fundamental.rms / lowest;
}

function harmonicChart(shares: readonly LimitedShare[]): Chart {
  const orders = shares.map(({ order }) => order);
  return {
    kind: 'spectrum',
    title: 'Harmonics of the mains current and their limits',
    x: { label: 'order', unit: '1', scale: 'linear' },
    y: { label: 'part of the fundamental', unit: '1', scale: 'linear' },
    lines: [
      {
        name: 'measured',
        role: 'measured',
        x: orders,
        y: shares.map(({ share }) => share),
      },
      {
        name: 'class C limit',
        role: 'limit',
        x: orders,
        y: shares.map(({ limit }) => limit),
      },
    ],
    marks: [],
  };
}
