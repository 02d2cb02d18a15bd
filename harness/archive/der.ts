/** The little of DER (ITU-T X.690) that an encrypted private key needs; from memory, and held against OpenSSL in the tests. */
const tags = {
  integer: 0x02,
  octets: 0x04,
  nothing: 0x05,
  identifier: 0x06,
  sequence: 0x30,
} as const;

function wrapped(tag: number, content: Uint8Array): Buffer {
  const { length } = content;
  if (length < 0x80) return Buffer.concat([Buffer.from([tag, length]), content]);
  const size = Buffer.from(wholeNumber(length));
  return Buffer.concat([Buffer.from([tag, 0x80 + size.length]), size, content]);
}

/** Big end first, as few bytes as will do. */
function wholeNumber(value: number): number[] {
  const rest = Math.floor(value / 256);
  return [...(rest > 0 ? wholeNumber(rest) : []), value % 256];
}

export const der = {
  sequence: (...parts: readonly Uint8Array[]): Buffer =>
    wrapped(tags.sequence, Buffer.concat(parts)),
  octets: (bytes: Uint8Array): Buffer => wrapped(tags.octets, bytes),
  nothing: (): Buffer => wrapped(tags.nothing, Buffer.alloc(0)),
  /** An integer that is not negative: a leading bit needs a zero byte before it. */
  integer: (value: number): Buffer => {
    const bytes = wholeNumber(value);
    return wrapped(tags.integer, Buffer.from((bytes[0] ?? 0) < 0x80 ? bytes : [0, ...bytes]));
  },
  /** An object identifier by its content, in hexadecimal. */
  identifier: (hex: string): Buffer => wrapped(tags.identifier, Buffer.from(hex, 'hex')),
};

/** One value and what is in it. */
export interface DerValue {
  readonly tag: number;
  readonly content: Buffer;
}

/** The values that lie one after another in `bytes`. Throws where they are no DER. */
export function readDer(bytes: Buffer): DerValue[] {
  const values: DerValue[] = [];
  for (let at = 0; at < bytes.length; ) {
    const tag = bytes.readUInt8(at);
    const short = bytes.readUInt8(at + 1);
    const more = short < 0x80 ? 0 : short - 0x80;
    const length = more === 0 ? short : bytes.readUIntBE(at + 2, more);
    const from = at + 2 + more;
    if (from + length > bytes.length) throw new RangeError('a value ends beyond its surroundings');
    values.push({ tag, content: bytes.subarray(from, from + length) });
    at = from + length;
  }
  return values;
}

export function isInteger({ tag }: DerValue): boolean {
  return tag === tags.integer;
}

/** Of no more than six bytes; larger ones are beyond any count. */
export function integerOf({ content }: DerValue): number {
  return content.length > 6 ? Number.POSITIVE_INFINITY : content.readUIntBE(0, content.length);
}
