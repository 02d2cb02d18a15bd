import { holds } from './code-ranges.ts';
import { type DebugSections, debugBytes } from './debug-sections.ts';
import { attribute, type DebugEntry, DebugUnit, numberOf } from './debug-unit.ts';
import { type LineTable, lineTableAt } from './line-table.ts';

/** A function that an instruction belongs to, and the line of it, as far as the build tells. */
export interface SourceFrame {
  readonly function: string | null;
  /** As the compiler noted it; null where it names none. */
  readonly file: string | null;
  readonly line: number;
}

/** DW_TAG_… Source: DWARF 5, section 7.5.3, from memory. */
const tag = { inlined: 0x1d, subprogram: 0x2e } as const;
/** References from an entry to what describes it. */
const mostHops = 8;

/**
 * The functions that the instruction at an offset of the code section belongs to: first the one that the optimiser moved farthest in,
 * last the one that it became a part of. Empty where the build does not say. `start` is where the function of the module begins: what
 * the linker left out has addresses in front of it. Throws DebugInfoError where debug information is damaged.
 */
export function sourceFrames(
  sections: DebugSections,
  { offset, start }: { readonly offset: number; readonly start: number },
): SourceFrame[] {
  const info = debugBytes(sections, 'info');
  while (info.more) {
    const from = info.at;
    info.unit();
    const frames = framesIn(sections, from, { offset, start });
    if (frames.length > 0) return frames;
  }
  return [];
}

function framesIn(
  sections: DebugSections,
  from: number,
  place: { readonly offset: number; readonly start: number },
): SourceFrame[] {
  const unit = new DebugUnit(sections, from);
  const nest = nestOf(unit, place);
  const table = numberOf(unit.root.values.get(attribute.lineTable));
  if (nest.length === 0 || table === null) return [];
  const lines = lineTableAt(sections, table);
  let here = lineAt(lines, place);
  return nest.reverse().map((entry) => {
    const frame = { function: nameOf(unit, entry), ...here };
    here = {
      file: lines.files[numberOf(entry.values.get(attribute.callFile)) ?? -1] ?? null,
      line: numberOf(entry.values.get(attribute.callLine)) ?? 0,
    };
    return frame;
  });
}

/** A function, and those inlined into it one within the other, that hold the offset. */
function nestOf(
  unit: DebugUnit,
  { offset, start }: { offset: number; start: number },
): DebugEntry[] {
  const nest: DebugEntry[] = [];
  for (const entry of unit.entries()) {
    const isFunction = entry?.tag === tag.subprogram || entry?.tag === tag.inlined;
    // Entries come from the outside inwards, and what holds the offset lies in one another.
    if (entry && isFunction && holds(unit, entry, offset) && begins(unit, entry, start))
      nest.push(entry);
  }
  return nest;
}

/** It is no function that was left out, which would begin at 0. */
function begins(unit: DebugUnit, { tag: kind, values }: DebugEntry, start: number): boolean {
  if (kind !== tag.subprogram) return true;
  return (unit.addressOf(values.get(attribute.lowPc)) ?? start) >= start;
}

function lineAt(
  { files, sequences }: LineTable,
  { offset, start }: { offset: number; start: number },
): Pick<SourceFrame, 'file' | 'line'> {
  const rows = sequences.find((all) => (all[0]?.address ?? 0) >= start && isIn(all, offset));
  const row = rows?.findLast(({ address }) => address <= offset);
  return { file: (row && files[row.file]) ?? null, line: row?.line ?? 0 };
}

function isIn(rows: readonly { readonly address: number }[], offset: number): boolean {
  return (rows[0]?.address ?? offset + 1) <= offset && (rows.at(-1)?.address ?? 0) > offset;
}

/** Its own, or that of the function that it is a copy of. */
function nameOf(unit: DebugUnit, entry: DebugEntry): string | null {
  let described: DebugEntry | null = entry;
  for (let hop = 0; described && hop < mostHops; hop++) {
    const name = unit.textOf(described.values.get(attribute.name));
    if (name !== null) return name;
    const { values }: DebugEntry = described;
    described = unit.entryAt(
      values.get(attribute.abstractOrigin) ?? values.get(attribute.specification),
    );
  }
  return null;
}
