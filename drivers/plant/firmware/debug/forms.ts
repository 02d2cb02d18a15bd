import { type DebugBytes, DebugInfoError } from './debug-bytes.ts';

/** How an attribute is written. */
export interface Form {
  readonly number: number;
  /** Of DW_FORM_implicit_const: the value itself. */
  readonly implicit?: number;
}

/** What of a unit says how long its attributes are. */
export interface FormUnit {
  readonly version: number;
  readonly offsetSize: number;
  readonly addressSize: number;
}

export type FormValue =
  | { readonly kind: 'number' | 'address' | 'offset' | 'local-reference'; readonly value: number }
  | { readonly kind: 'reference'; readonly value: number }
  /** Numbers of entries in the lists of the unit. */
  | { readonly kind: 'address-index' | 'text-index' | 'ranges-index'; readonly value: number }
  | { readonly kind: 'text'; readonly text: string }
  | { readonly kind: 'text-at'; readonly section: string; readonly value: number }
  | { readonly kind: 'other' };

type Read = (body: DebugBytes, unit: FormUnit, form: Form) => FormValue;

const other: FormValue = { kind: 'other' };
const of =
  (kind: 'number' | 'local-reference' | 'address-index' | 'text-index', size: number): Read =>
  (body) => ({ kind, value: body.unsigned(size) });
const ofLeb =
  (kind: 'number' | 'local-reference' | 'address-index' | 'text-index' | 'ranges-index'): Read =>
  (body) => ({ kind, value: body.uleb() });
const skipped =
  (count: (body: DebugBytes, unit: FormUnit) => number): Read =>
  (body, unit) => {
    body.skip(count(body, unit));
    return other;
  };
const offset = (body: DebugBytes, { offsetSize }: FormUnit): number => body.unsigned(offsetSize);
const textAt =
  (section: string): Read =>
  (body, unit) => ({ kind: 'text-at', section, value: offset(body, unit) });

/** Source: DWARF 5, sections 7.5.5 and 7.5.6 (attribute forms), from memory. */
const forms: ReadonlyMap<number, Read> = new Map<number, Read>([
  [0x01, (body, { addressSize }) => ({ kind: 'address', value: body.unsigned(addressSize) })],
  [0x03, skipped((body) => body.unsigned(2))],
  [0x04, skipped((body) => body.unsigned(4))],
  [0x05, of('number', 2)],
  [0x06, of('number', 4)],
  [0x07, of('number', 8)],
  [0x08, (body) => ({ kind: 'text', text: body.text() })],
  [0x09, skipped((body) => body.uleb())],
  [0x0a, skipped((body) => body.unsigned(1))],
  [0x0b, of('number', 1)],
  [0x0c, of('number', 1)],
  [0x0d, (body) => ({ kind: 'number', value: body.sleb() })],
  [0x0e, textAt('str')],
  [0x0f, ofLeb('number')],
  [
    0x10,
    (body, unit) => ({
      kind: 'reference',
      // Before DWARF 3 it had the size of an address.
      value: unit.version < 3 ? body.unsigned(unit.addressSize) : offset(body, unit),
    }),
  ],
  [0x11, of('local-reference', 1)],
  [0x12, of('local-reference', 2)],
  [0x13, of('local-reference', 4)],
  [0x14, of('local-reference', 8)],
  [0x15, ofLeb('local-reference')],
  [0x17, (body, unit) => ({ kind: 'offset', value: offset(body, unit) })],
  [0x18, skipped((body) => body.uleb())],
  [0x19, () => ({ kind: 'number', value: 1 })],
  [0x1a, ofLeb('text-index')],
  [0x1b, ofLeb('address-index')],
  [0x1c, skipped(() => 4)],
  [0x1d, skipped((_, { offsetSize }) => offsetSize)],
  [0x1e, skipped(() => 16)],
  [0x1f, textAt('line_str')],
  [0x20, skipped(() => 8)],
  [0x21, (_, __, { implicit = 0 }) => ({ kind: 'number', value: implicit })],
  [0x22, ofLeb('number')],
  [0x23, ofLeb('ranges-index')],
  [0x24, skipped(() => 8)],
  [0x25, of('text-index', 1)],
  [0x26, of('text-index', 2)],
  [0x27, of('text-index', 3)],
  [0x28, of('text-index', 4)],
  [0x29, of('address-index', 1)],
  [0x2a, of('address-index', 2)],
  [0x2b, of('address-index', 3)],
  [0x2c, of('address-index', 4)],
]);
/** DW_FORM_indirect: the form stands in front of the value. */
const indirect = 0x16;

/** The value of an attribute; goes on behind it. Throws DebugInfoError for forms that are not known. */
export function readForm(body: DebugBytes, form: Form, unit: FormUnit): FormValue {
  const used = form.number === indirect ? { number: body.uleb() } : form;
  const read = forms.get(used.number);
  if (!read) throw new DebugInfoError(`it has a form 0x${used.number.toString(16)}`);
  return read(body, unit, used);
}
