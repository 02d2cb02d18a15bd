/** A variable of a value change dump, and its values in order, each with its time in units of the file. */
interface ReadVariable {
  readonly type: string;
  readonly size: number;
  readonly changes: { readonly time: number; readonly value: string }[];
}

export interface ReadDump {
  /** s */
  readonly unit: number;
  readonly scope: string;
  readonly comments: readonly string[];
  readonly variables: ReadonlyMap<string, ReadVariable>;
  readonly end: number;
}

const types =
  'event integer parameter real realtime reg supply0 supply1 time tri triand trior trireg tri0 tri1 wand wire wor'.split(
    ' ',
  );
const units: Readonly<Record<string, number>> = { s: 1, ms: 1e-3, us: 1e-6, ns: 1e-9, ps: 1e-12 };

/**
 * Reads a four-state value change dump, and throws at whatever the grammar does not have.
 * Source: IEEE 1364-2005, clause 18.2 (from memory); written for these tests, apart from the writer.
 */
export function readVcd(text: string): ReadDump {
  const words = text.split(/\s+/).filter(Boolean);
  const names = new Map<string, string>();
  const variables = new Map<string, ReadVariable>();
  const comments: string[] = [];
  let [place, unit, scope, time, inDump] = [0, Number.NaN, '', -1, false];
  const section = (): string[] => {
    const end = words.indexOf('$end', place);
    if (end < 0) throw new Error('a section has no $end');
    const own = words.slice(place, end);
    place = end + 1;
    return own;
  };
  const declare = (): boolean => {
    const keyword = words[place++];
    if (keyword === '$comment') comments.push(section().join(' '));
    else if (keyword === '$timescale') {
      const [, number = '', symbol = ''] = /^(1|10|100)([munp]?s)$/.exec(section().join('')) ?? [];
      unit = Number(number) * (units[symbol] ?? Number.NaN);
    } else if (keyword === '$scope') {
      const [kind, name = ''] = section();
      if (kind !== 'module') throw new Error(`scope ${kind}`);
      scope = name;
    } else if (keyword === '$upscope' || keyword === '$enddefinitions') {
      if (section().length > 0) throw new Error(`words in ${keyword}`);
      return keyword !== '$enddefinitions';
    } else if (keyword === '$var') {
      const [type = '', size = '', id = '', name = '', ...more] = section();
      if (!types.includes(type) || !/^[1-9]\d*$/.test(size) || more.length > 0)
        throw new Error(`a declaration of ${name}`);
      if (!/^[!-~]+$/.test(id) || names.has(id)) throw new Error(`identifier ${id}`);
      if (!/^[A-Za-z_][A-Za-z0-9_$]*$/.test(name) || variables.has(name))
        throw new Error(`name ${name}`);
      names.set(id, name);
      variables.set(name, { type, size: Number(size), changes: [] });
    } else throw new Error(`declaration ${keyword}`);
    return true;
  };
  const change = (id: string, value: string, fits: (one: ReadVariable) => boolean): void => {
    const variable = variables.get(names.get(id) ?? '');
    if (!variable || !fits(variable) || time < 0) throw new Error(`value ${value} of ${id}`);
    variable.changes.push({ time, value });
  };
  while (declare());
  while (place < words.length) {
    const word = words[place++] ?? '';
    if (/^#\d+$/.test(word)) {
      const next = Number(word.slice(1));
      if (next < time || !Number.isSafeInteger(next)) throw new Error(`time ${word} after ${time}`);
      time = next;
    } else if (word === '$dumpvars') inDump = true;
    else if (word === '$end' && inDump) inDump = false;
    else if (/^[01xz][!-~]+$/.test(word))
      change(word.slice(1), word.slice(0, 1), ({ size, type }) => size === 1 && type !== 'real');
    else if (/^b[01xz]+$/.test(word))
      change(words[place++] ?? '', word.slice(1), ({ size }) => word.length - 1 <= size);
    else if (/^r-?\d+(\.\d+)?(e[-+]?\d+)?$/.test(word))
      change(words[place++] ?? '', word.slice(1), ({ type }) => type === 'real');
    else throw new Error(`${word} where a change was expected`);
  }
  return { unit, scope, comments, variables, end: time };
}

/** The characters of a vector, its last byte at the right. */
export function textOf(bits: string): string {
  const whole = bits.padStart(Math.ceil(bits.length / 8) * 8, '0');
  const bytes = whole.match(/.{8}/g) ?? [];
  return Buffer.from(bytes.map((byte) => Number.parseInt(byte, 2))).toString('utf8');
}
