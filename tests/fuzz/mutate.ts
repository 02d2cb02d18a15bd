/** Numbers from 0 up to 1, the same for the same seed (32 bits of a multiplicative generator). */
export type Random = () => number;

export function randomFrom(seed: number): Random {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}

export function oneOf<Item>(items: readonly Item[], random: Random): Item {
  return items[Math.floor(random() * items.length)]!;
}

const between = (random: Random, most: number): number => Math.floor(random() * (most + 1));

/** What parsers trip over: ends of number formats, marks of other formats, text that commands. */
const awkward = [
  ...['0', '-0', '-1', '1e308', '1e-308', '1e999', '-1e999', 'NaN', 'Infinity', '9007199254740993'],
  ...['4294967296', '0x10', '1_000', '1,5', '½', '٣', '', ' ', '\t', '\n', '\r', '\0', '\u2028'],
  ...[
    '\u001b[2J',
    '\u202e',
    '\ufeff',
    '\ud800',
    '"',
    "'",
    '{',
    '}',
    '[',
    ']',
    ':',
    ',',
    '#',
    '&a',
    '*a',
  ],
  ...[
    '__proto__',
    'constructor',
    'toString',
    '../..',
    '/dev/zero',
    'null',
    'true',
    '!!js/function',
  ],
  ...[
    '%s%n',
    '$(1)',
    '<<',
    '- - - -',
    '|',
    '>',
    '---',
    '...',
    '2026-13-45T99:99:99Z',
    '9999999999 s',
  ],
].map((text) => Buffer.from(text));

/** One or more small changes of a file: turned bits, bytes put in, taken out, doubled, moved, replaced by awkward ones. */
export function mutatedBytes(bytes: Uint8Array, random: Random): Uint8Array {
  let changed: Uint8Array = Uint8Array.from(bytes);
  for (let times = 1 + between(random, 3); times > 0; times--)
    changed = changedOnce(changed, random);
  return changed;
}

function changedOnce(bytes: Uint8Array, random: Random): Uint8Array {
  const at = between(random, bytes.length);
  const length = between(random, Math.min(64, bytes.length - at));
  const cut = (from: number, to: number, ...between: Uint8Array[]) =>
    Buffer.concat([bytes.subarray(0, from), ...between, bytes.subarray(to)]);
  switch (between(random, 7)) {
    case 0: {
      const turned = Uint8Array.from(bytes);
      if (at < turned.length) turned[at]! ^= 1 << between(random, 7);
      return turned;
    }
    case 1:
      return cut(at, at + length);
    case 2:
      return cut(at, at, bytes.subarray(at, at + length));
    case 3:
      return bytes.subarray(0, at);
    case 4:
      return cut(
        at,
        at + length,
        Uint8Array.from({ length }, () => between(random, 255)),
      );
    case 5:
      return cut(at, at, ...Array(1 + between(random, 200)).fill(bytes.subarray(at, at + length)));
    default:
      return cut(at, at + between(random, Math.min(8, bytes.length - at)), oneOf(awkward, random));
  }
}

const awkwardValues: readonly unknown[] = [
  ...[null, true, 0, -0, -1, 0.5, 1e308, -1e308, 5e-324, 2 ** 53, 2 ** 31, 1e21, '', ' ', 'NaN'],
  ...[
    '1e999',
    '\u001b[2J',
    '\u202e',
    '__proto__',
    '../../etc',
    '9999-12-31T23:59:59Z',
    '0000-01-01',
  ],
  ...['+275760-09-13T00:00:00.000Z', '2026-02-30T25:61:61Z', [], {}, [[[[]]]], 'x'.repeat(10_000)],
];

/** The same for a JSON text: values of a wrong kind or size, and keys and items that are gone, doubled or new. */
export function mutatedJson(text: string, random: Random): string {
  const value: unknown = JSON.parse(text);
  for (let times = 1 + between(random, 2); times > 0; times--) changeWithin(value, random);
  return JSON.stringify(value);
}

function changeWithin(root: unknown, random: Random): void {
  const places: { readonly in: Record<string, unknown>; readonly key: string }[] = [];
  const walk = (value: unknown): void => {
    if (typeof value !== 'object' || value === null) return;
    for (const key of Object.keys(value)) {
      places.push({ in: value as Record<string, unknown>, key });
      walk((value as Record<string, unknown>)[key]);
    }
  };
  walk(root);
  if (places.length === 0) return;
  const { in: holder, key } = oneOf(places, random);
  const found = holder[key];
  const kind = random();
  if (kind < 0.3 && typeof found === 'number')
    holder[key] = found * oneOf([-1, 1e3, 1e9, 1e15, 1e200, 1e-200, 0], random);
  else if (kind < 0.4) delete holder[key];
  else if (kind < 0.45) holder[`${key}x`] = found;
  else if (kind < 0.5 && Array.isArray(found)) found.push(...found);
  else if (kind < 0.8) holder[key] = oneOf(likeOf(found), random);
  else holder[key] = oneOf(awkwardValues, random);
}

/** Values of the same kind, which a schema lets through more often. */
function likeOf(found: unknown): readonly unknown[] {
  if (typeof found === 'number') return awkwardValues.filter((value) => typeof value === 'number');
  if (typeof found !== 'string') return awkwardValues;
  return /^\d{4}-\d\d/.test(found)
    ? awkwardInstants
    : awkwardValues.filter((value) => typeof value === 'string');
}

const awkwardInstants = [
  ...[
    '9999-12-31T23:59:59Z',
    '0000-01-01T00:00:00Z',
    '1969-12-31T23:59:59Z',
    '2026-02-30T00:00:00Z',
  ],
  ...[
    '2026-13-45T99:99:99Z',
    '2026-06-30T23:59:60Z',
    '2026-01-01T24:00:00Z',
    '2026-01-01T00:00:00',
  ],
];
