import { type Abbreviation, readAbbreviations } from './abbreviations.ts';
import { type DebugBytes, DebugInfoError } from './debug-bytes.ts';
import { type DebugSections, debugBytes } from './debug-sections.ts';
import { type FormUnit, type FormValue, readForm } from './forms.ts';

/** Attributes that are looked at. Source: DWARF 5, section 7.5.4, from memory. */
export const attribute = {
  name: 0x03,
  lineTable: 0x10,
  lowPc: 0x11,
  highPc: 0x12,
  folder: 0x1b,
  abstractOrigin: 0x31,
  specification: 0x47,
  ranges: 0x55,
  callFile: 0x58,
  callLine: 0x59,
  textOffsets: 0x72,
  addresses: 0x73,
  rangeLists: 0x74,
} as const;

/** An entry of a unit. */
export interface DebugEntry {
  readonly tag: number;
  readonly children: boolean;
  readonly values: ReadonlyMap<number, FormValue>;
}

/** One compilation unit of the section `info`. */
export class DebugUnit implements FormUnit {
  readonly version: number;
  readonly offsetSize: number;
  readonly addressSize: number;
  readonly sections: DebugSections;
  /** Where its entries begin, and its first one: it describes the unit. */
  readonly #entries: number;
  readonly #end: number;
  readonly #from: number;
  readonly #abbreviations: ReadonlyMap<number, Abbreviation>;
  readonly root: DebugEntry;

  /** The unit at an offset. Throws DebugInfoError. Source: DWARF 5, section 7.5.1 (unit headers), from memory. */
  constructor(sections: DebugSections, from: number) {
    const { body, offsetSize } = debugBytes(sections, 'info', from).unit();
    this.sections = sections;
    this.#from = from;
    this.#end = body.end;
    this.offsetSize = offsetSize;
    this.version = body.unsigned(2);
    if (this.version < 2 || this.version > 5)
      throw new DebugInfoError(`a unit has version ${this.version}`);
    if (this.version === 5 && body.unsigned(1) !== 1)
      throw new DebugInfoError('a unit is no compilation unit');
    const newer = this.version === 5;
    const first = body.unsigned(newer ? 1 : offsetSize);
    const second = body.unsigned(newer ? offsetSize : 1);
    this.addressSize = newer ? first : second;
    this.#abbreviations = readAbbreviations(debugBytes(sections, 'abbrev', newer ? second : first));
    this.#entries = body.at;
    const root = this.read(body);
    if (!root) throw new DebugInfoError('a unit is empty');
    this.root = root;
  }

  /** Where the next unit begins. */
  get end(): number {
    return this.#end;
  }

  /** Its entries from the first one on; null stands for the end of those under an entry. */
  *entries(): Generator<DebugEntry | null> {
    const body = this.#bytes(this.#entries);
    while (body.more) yield this.read(body);
  }

  /** The entry that an attribute points at; null where it is of another unit. */
  entryAt(value: FormValue | undefined): DebugEntry | null {
    if (value?.kind !== 'local-reference' && value?.kind !== 'reference') return null;
    const at = value.kind === 'reference' ? value.value : this.#from + value.value;
    return at >= this.#entries && at < this.#end ? this.read(this.#bytes(at)) : null;
  }

  /** A name; null where it has none. */
  textOf(value: FormValue | undefined): string | null {
    if (value?.kind === 'text') return value.text;
    if (value?.kind === 'text-at')
      return debugBytes(this.sections, value.section, value.value).text();
    if (value?.kind !== 'text-index') return null;
    const base = this.baseOf(attribute.textOffsets);
    const place = debugBytes(
      this.sections,
      'str_offsets',
      base + value.value * this.offsetSize,
    ).unsigned(this.offsetSize);
    return debugBytes(this.sections, 'str', place).text();
  }

  addressOf(value: FormValue | undefined): number | null {
    if (value?.kind === 'address') return value.value;
    return value?.kind === 'address-index' ? this.addressAt(value.value) : null;
  }

  /** Of its list of addresses. */
  addressAt(index: number): number {
    const at = this.baseOf(attribute.addresses) + index * this.addressSize;
    return debugBytes(this.sections, 'addr', at).unsigned(this.addressSize);
  }

  /** Where its part of a section that all units share begins. */
  baseOf(name: number): number {
    return numberOf(this.root.values.get(name)) ?? 0;
  }

  read(body: DebugBytes): DebugEntry | null {
    const code = body.uleb();
    if (code === 0) return null;
    const abbreviation = this.#abbreviations.get(code);
    if (!abbreviation) throw new DebugInfoError('an entry is of no known kind');
    const values = new Map<number, FormValue>();
    for (const { name, form } of abbreviation.attributes)
      values.set(name, readForm(body, form, this));
    return { tag: abbreviation.tag, children: abbreviation.children, values };
  }

  #bytes(at: number): DebugBytes {
    return debugBytes(this.sections, 'info', at).upTo(this.#end);
  }
}

/** A number, or an offset into a section; null of anything else. */
export function numberOf(value: FormValue | undefined): number | null {
  return value?.kind === 'number' || value?.kind === 'offset' ? value.value : null;
}
