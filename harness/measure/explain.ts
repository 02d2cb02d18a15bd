import { formatQuantity } from '../units/format-quantity.ts';
import { findUnit } from '../units/unit-table.ts';
import type { NotMeasurable, Reason } from './outcome.ts';

/** Each reason in words, and how its two figures are called. The one place where a refusal gets its sentence. */
const words: Readonly<
  Record<Reason, { readonly says: string; readonly found: string; readonly needed: string }>
> = {
  'no-record': { says: 'nothing was recorded for it', found: 'recorded', needed: 'needed' },
  empty: { says: 'no samples in the window', found: 'in the window', needed: 'needed' },
  'not-finite': {
    says: 'samples that are not finite numbers',
    found: 'of them',
    needed: 'tolerated',
  },
  'negative-light': {
    says: 'light below zero by more than the noise explains',
    found: 'seen',
    needed: 'tolerated',
  },
  saturated: {
    says: "samples at the end of the converter's range",
    found: 'of them',
    needed: 'tolerated',
  },
  'too-short': { says: 'too short', found: 'recorded', needed: 'needed' },
  'too-slow': { says: 'sampled too slowly', found: 'sampled', needed: 'needed' },
  'too-narrow': { says: 'sensor bandwidth too narrow', found: 'available', needed: 'needed' },
  'below-noise': { says: 'lost in the noise', found: 'found', needed: 'needed' },
  dark: { says: 'no light to compare with', found: 'seen', needed: 'needed' },
  'no-periodicity': { says: 'nothing periodic found', found: 'found', needed: 'needed' },
  'no-fade': {
    says: 'the window does not hold exactly one fade',
    found: 'found',
    needed: 'needed',
  },
  'not-a-straight-fade': { says: 'not a straight fade', found: 'off the line', needed: 'allowed' },
  'no-edge': { says: 'no edge found', found: 'found', needed: 'needed' },
  'no-plateau': {
    says: 'the light does not settle before and after',
    found: 'found',
    needed: 'needed',
  },
  'no-reference': {
    says: 'the reference is missing or dark',
    found: 'found',
    needed: 'needed',
  },
  'no-zero': {
    says: 'how well the zero is known is not stated',
    found: 'stated',
    needed: 'needed',
  },
  'off-locus': {
    says: 'chromaticity too far from the Planckian locus',
    found: 'away',
    needed: 'allowed',
  },
  'out-of-domain': { says: 'not defined here', found: 'found', needed: 'allowed' },
  untold: { says: 'the firmware did not tell it', found: 'told', needed: 'needed' },
  untimed: {
    says: 'when commands and records took effect is not known well enough',
    found: '(k = 1)',
    needed: 'needed',
  },
  unresolved: {
    says: 'too fine for this record to resolve',
    found: 'resolved',
    needed: 'needed',
  },
};

/** For people: `too short: 0.4 s recorded, 1 s needed (channel warm)`. Without a full stop, so that it can be a part. */
export function explainNotMeasurable(outcome: NotMeasurable): string {
  const { reason, found, needed, unit, note } = outcome;
  const { says, found: foundWord, needed: neededWord } = words[reason];
  const figures = [
    found === undefined ? [] : `${figure(found, unit)} ${foundWord}`,
    needed === undefined ? [] : `${figure(needed, unit)} ${neededWord}`,
  ].flat();
  const text = figures.length > 0 ? `${says}: ${figures.join(', ')}` : says;
  return note ? `${text} (${note})` : text;
}

function figure(value: number, symbol: string | undefined): string {
  const unit = symbol === undefined ? undefined : findUnit(symbol);
  return formatQuantity(value, unit?.dimension ?? 'number');
}
