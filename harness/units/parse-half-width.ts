import { type ParsedQuantity, parseQuantity } from './parse-quantity.ts';

/** Reads the half-width of a tolerance, `± 5 %`, `±20 ms` or `+/- 3 K`; it is at least 0. */
export function parseHalfWidth(text: string): ParsedQuantity {
  const match = /^\s*(?:±|\+\/-|\+-)\s*(.*)$/s.exec(text);
  if (!match) return { ok: false, problem: `no ± in front of "${text.trim().slice(0, 40)}"` };
  const parsed = parseQuantity(match[1] ?? '');
  if (parsed.ok && parsed.quantity.value < 0)
    return { ok: false, problem: `"${text.trim().slice(0, 40)}" is below zero` };
  return parsed;
}
