import type { ConditionRecord } from '../../record/run-record.ts';
import { autoText } from './value-text.ts';

/** What the supply said while a condition ran, in a sentence with a space behind it; empty where it was not read. */
export function supplyWords({ supply, captures }: ConditionRecord): string {
  const on = supply?.readings.filter((reading) => reading.on) ?? [];
  if (!supply || supply.readings.length === 0) return '';
  const span = (figures: readonly number[], unit: 'V' | 'A'): string => {
    const [least, most] = [Math.min(...figures), Math.max(...figures)];
    const ends = [...new Set([autoText(least, unit, 4), autoText(most, unit, 4)])];
    return ends.join(' to ');
  };
  const acted = new Set(supply.readings.flatMap(({ protections = [] }) => protections));
  const volts = span(
    on.map((reading) => reading.volts),
    'V',
  );
  const amps = span(
    on.map((reading) => reading.amps),
    'A',
  );
  const given = on.length > 0 ? `${volts}, ${amps}` : 'off';
  const trips = acted.size > 0 ? `; acted: ${[...acted].join(', ')}` : '';
  const beside = captures.filter(({ taken }) => taken === 'alongside').map(({ file }) => file);
  const recorded = beside.length > 0 ? `; voltage at the lamp: ${beside.join(', ')}` : '';
  return `Supply in ${supply.taken} readings: ${given}${trips}${recorded}. `;
}
