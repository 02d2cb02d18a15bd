import type { DebugBytes } from './debug-bytes.ts';
import type { Form } from './forms.ts';

/** What entries of one kind consist of. */
export interface Abbreviation {
  readonly tag: number;
  /** Entries that stand under it follow it, up to an empty one. */
  readonly children: boolean;
  readonly attributes: readonly { readonly name: number; readonly form: Form }[];
}

const implicitConst = 0x21;

/** By their codes. Throws DebugInfoError. Source: DWARF 5, section 7.5.3, from memory. */
export function readAbbreviations(table: DebugBytes): ReadonlyMap<number, Abbreviation> {
  const all = new Map<number, Abbreviation>();
  for (let code = table.uleb(); code !== 0; code = table.uleb()) {
    const tag = table.uleb();
    const children = table.unsigned(1) === 1;
    const attributes: { name: number; form: Form }[] = [];
    for (;;) {
      const name = table.uleb();
      const number = table.uleb();
      if (number === 0) break;
      const form = number === implicitConst ? { number, implicit: table.sleb() } : { number };
      attributes.push({ name, form });
    }
    all.set(code, { tag, children, attributes });
  }
  return all;
}
