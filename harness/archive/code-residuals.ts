/** Raw codes as the instrument gave them. */
export type Codes = Int16Array | Int32Array | Float32Array;
/** Integers of one width, as converters give them. */
export type IntegerCodes = Int16Array | Int32Array;

/**
 * What the next code is foretold from: the first code of the block, or the mean of the latest codes at one of two levels, such as
 * those of a pulse-width modulated current.
 */
export type Predictor =
  | { readonly from: 'first' }
  | {
      readonly from: 'levels';
      /** A mean forgets one part in 2 to this power with each code. */
      readonly shift: number;
      /** A code that is farther than this from its level begins the level anew. */
      readonly jump: number;
    };

export interface Residuals {
  /** Code minus what was foretold, modulo the width of the codes, folded: 0, -1, 1, -2 … become 0, 1, 2, 3 … */
  readonly folded: Uint32Array;
  /** A bit a code, lowest first: 1 where the level is the other one from here on. All 0 with `first`. */
  readonly toggles: Uint8Array;
}

/** Both ways go by this, step for step; a reader elsewhere needs no more than the way back (reports/README.md). */
export function residualsOf(codes: IntegerCodes, predictor: Predictor): Residuals {
  const folded = new Uint32Array(codes.length);
  const toggles = new Uint8Array(Math.ceil(codes.length / 8));
  const spare = 32 - 8 * codes.BYTES_PER_ELEMENT;
  const first = codes[0] ?? 0;
  if (predictor.from === 'first') {
    for (let k = 0; k < codes.length; k++) {
      const rest = (((codes[k] as number) - first) << spare) >> spare;
      folded[k] = (rest << 1) ^ (rest >> 31);
    }
    return { folded, toggles };
  }
  const { jump, shift } = predictor;
  const unit = 2 ** shift;
  const far = jump * unit;
  let level = first * unit;
  let other = level;
  for (let k = 0; k < codes.length; k++) {
    const scaled = (codes[k] as number) * unit;
    if (scaled - level > far || level - scaled > far) {
      const left = level;
      level = other;
      other = left;
      toggles[k >> 3] = (toggles[k >> 3] as number) | (1 << (k & 7));
    }
    const foretold = Math.floor(level / unit + 0.5);
    const rest = (((codes[k] as number) - foretold) << spare) >> spare;
    folded[k] = (rest << 1) ^ (rest >> 31);
    level = rest > jump || rest < -jump ? scaled : level + rest;
  }
  return { folded, toggles };
}

/** Writes the codes that `residualsOf` had into `codes`, exactly. `first`: the code that it began with. */
export function restoreCodes(
  { folded, toggles }: Residuals,
  predictor: Predictor,
  first: number,
  codes: IntegerCodes,
): void {
  if (predictor.from === 'first') {
    for (let k = 0; k < codes.length; k++) codes[k] = first + unfolded(folded[k] as number);
    return;
  }
  const { jump, shift } = predictor;
  const unit = 2 ** shift;
  let level = first * unit;
  let other = level;
  for (let k = 0; k < codes.length; k++) {
    if ((toggles[k >> 3] as number) & (1 << (k & 7))) {
      const left = level;
      level = other;
      other = left;
    }
    const rest = unfolded(folded[k] as number);
    // The array takes the sum modulo its width, which is what was foretold plus the rest.
    codes[k] = Math.floor(level / unit + 0.5) + rest;
    level = rest > jump || rest < -jump ? (codes[k] as number) * unit : level + rest;
  }
}

function unfolded(value: number): number {
  return (value >>> 1) ^ -(value & 1);
}
