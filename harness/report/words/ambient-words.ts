import type { ConditionRecord } from '../../record/run-record.ts';
import { autoText } from './value-text.ts';

/** What the air about the lamp was while a condition ran, in a sentence with a space behind it; empty where nobody looked. */
export function ambientWords({ ambient }: ConditionRecord): string {
  if (!ambient || ambient.readings.length === 0) return '';
  const { wanted, within, soaked, readings, taken, lamp = [] } = ambient;
  const own = lamp.map(({ celsius }) => celsius.toFixed(1)).join(' and ');
  const says = own === '' ? '' : `; the lamp said ${own} °C of itself`;
  return `Air about the lamp in ${taken} readings: ${span(readings)}, where ${wanted} °C ± ${within} K were asked for, after a soak of ${autoText(soaked, 's', 3)}${says}. `;
}

function span(readings: readonly { readonly celsius: number }[]): string {
  let least = Number.POSITIVE_INFINITY;
  let most = Number.NEGATIVE_INFINITY;
  for (const { celsius } of readings) {
    least = Math.min(least, celsius);
    most = Math.max(most, celsius);
  }
  const ends = [...new Set([least.toFixed(1), most.toFixed(1)])];
  return `${ends.join(' to ')} °C`;
}
