import { DebugInfoError } from './debug-bytes.ts';
import { debugBytes } from './debug-sections.ts';
import { attribute, type DebugEntry, type DebugUnit, numberOf } from './debug-unit.ts';
import type { FormValue } from './forms.ts';

/** Whether the code of an entry holds an offset. Throws DebugInfoError. Source: DWARF 5, section 2.17, from memory. */
export function holds(unit: DebugUnit, { values }: DebugEntry, offset: number): boolean {
  const low = unit.addressOf(values.get(attribute.lowPc));
  const high = values.get(attribute.highPc);
  if (low !== null && high) {
    // A number is a length, before DWARF 4 it was always an address.
    const end = unit.addressOf(high) ?? low + (numberOf(high) ?? 0);
    return offset >= low && offset < end;
  }
  const ranges = values.get(attribute.ranges);
  if (!ranges) return false;
  return unit.version === 5 ? inList(unit, ranges, offset) : inOldList(unit, ranges, offset);
}

/** DWARF 4, section 2.17.3: pairs of addresses, from a base, up to a pair of zeros. */
function inOldList(unit: DebugUnit, ranges: FormValue, offset: number): boolean {
  const list = debugBytes(unit.sections, 'ranges', numberOf(ranges) ?? Number.POSITIVE_INFINITY);
  const highest = 2 ** (8 * unit.addressSize) - 1;
  let base = unit.addressOf(unit.root.values.get(attribute.lowPc)) ?? 0;
  for (;;) {
    const low = list.unsigned(unit.addressSize);
    const high = list.unsigned(unit.addressSize);
    if (low === 0 && high === 0) return false;
    if (low === highest) base = high;
    else if (offset >= base + low && offset < base + high) return true;
  }
}

/** DW_RLE_… Source: DWARF 5, sections 2.17.3 and 7.25, from memory. */
function inList(unit: DebugUnit, ranges: FormValue, offset: number): boolean {
  const list = debugBytes(unit.sections, 'rnglists', listAt(unit, ranges));
  const address = () => list.unsigned(unit.addressSize);
  const indexed = () => unit.addressAt(list.uleb());
  let base = unit.addressOf(unit.root.values.get(attribute.lowPc)) ?? 0;
  for (;;) {
    const kind = list.unsigned(1);
    if (kind === 0) return false;
    if (kind === 1) base = indexed();
    else if (kind === 5) base = address();
    else {
      const [low, end] = rangeOf(kind, base, { address, indexed, number: () => list.uleb() });
      if (offset >= low && offset < end) return true;
    }
  }
}

function rangeOf(
  kind: number,
  base: number,
  next: Record<'address' | 'indexed' | 'number', () => number>,
): [low: number, end: number] {
  if (kind === 4) return [base + next.number(), base + next.number()];
  if (kind === 2) return [next.indexed(), next.indexed()];
  if (kind === 6) return [next.address(), next.address()];
  const low = kind === 3 ? next.indexed() : next.address();
  if (kind !== 3 && kind !== 7) throw new DebugInfoError(`a range is of kind ${kind}`);
  return [low, low + next.number()];
}

function listAt(unit: DebugUnit, ranges: FormValue): number {
  if (ranges.kind !== 'ranges-index') return numberOf(ranges) ?? Number.POSITIVE_INFINITY;
  const base = unit.baseOf(attribute.rangeLists);
  const at = base + ranges.value * unit.offsetSize;
  return base + debugBytes(unit.sections, 'rnglists', at).unsigned(unit.offsetSize);
}
