import { oneSided } from '../../one-sided.ts';
import type { Contribution } from '../../outcome.ts';
import { blindShare, type Component, componentsOf, hiddenOf } from './components.ts';
import type { LitRecord } from './lit-record.ts';

/** What a component may have at a frequency (Hz): amplitude relative to the mean. */
export type Limit = (frequency: number) => number;

/** The component that uses most of its limit; both 0 where none is seen. */
export interface WorstComponent {
  readonly share: number;
  /** Hz. */
  readonly frequency: number;
}

export function worstComponent(components: readonly Component[], limit: Limit): WorstComponent {
  let worst: WorstComponent = { share: 0, frequency: 0 };
  for (const { frequency, amplitude } of components) {
    const share = amplitude / limit(frequency);
    if (share > worst.share) worst = { share, frequency };
  }
  return worst;
}

/** Standard uncertainties within which a frequency lies: 95 %. */
const sides = 2;

/**
 * What is uncertain about the worst share besides noise: averaging over a sample and the sensor's bandwidth may have made
 * components smaller; of points, components may have folded down from above half the rate; tones close together may add
 * up or cancel; and a frequency at a step of the limit does not tell on which side of it it lies.
 */
export function shareContributions(components: readonly Component[], limit: Limit): Contribution[] {
  const { share } = worstComponent(components, limit);
  const most = components.map(({ frequency, most: amplitude }) => amplitude / limit(frequency));
  const own = components.map((c) => c.least / limit(c.frequency));
  const added = components.map((c) => (c.amplitude * (1 + c.merged)) / limit(c.frequency));
  const moved = [-sides, sides].map((sign) =>
    components.map((c) => c.amplitude / limit(c.frequency + sign * c.deviation)),
  );
  const changes = moved.map((shares) => Math.abs(Math.max(0, ...shares) - share));
  return [
    {
      name: 'averaging and bandwidth',
      standard: oneSided * (Math.max(share, ...most) - share),
    },
    // Half-widths of rectangles.
    { name: 'components folded down', standard: (share - Math.max(0, ...own)) / Math.sqrt(3) },
    { name: 'tones not told apart', standard: (Math.max(share, ...added) - share) / Math.sqrt(3) },
    { name: 'frequency against the limit', standard: Math.max(...changes) / Math.sqrt(3) },
  ];
}

/** The largest share of its limit that a component of the band may use unseen, or by what rounding hides of it. */
export function shareFloor(
  record: LitRecord,
  band: { readonly from: number; readonly to: number },
  limit: Limit,
): number {
  let floor = 0;
  const see = (frequency: number, amplitude: number): void => {
    floor = Math.max(floor, amplitude / limit(frequency));
  };
  hiddenOf(record, band, see);
  const blind = blindShare(record);
  for (const { frequency, amplitude } of componentsOf(record))
    if (frequency >= band.from && frequency <= band.to) see(frequency, amplitude + blind);
  return floor;
}
