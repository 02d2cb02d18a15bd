/** How an array lies in the table: its numbers as 64-bit floats, or as whole multiples of a power of ten, or their first or second differences. */
const floats = 255;
const orders = 3;
/** A power of ten up to this is exact. */
const mostDecimals = 22;
/** Differences of differences of smaller numbers are exact. */
const largest = 2 ** 50;

/**
 * Collects arrays of numbers in few bytes, without loss: figures of charts are decimals that were rounded, and mostly near their
 * neighbours. Equal arrays lie there once.
 */
export class FigureTable {
  #bytes = new Uint8Array(2 ** 16);
  #view = new DataView(this.#bytes.buffer);
  #length = 0;
  readonly #known = new Map<string, number>();

  /** The place of an array with these numbers, which are finite. */
  add(figures: readonly number[]): number {
    const key = figures.join();
    const known = this.#known.get(key);
    if (known !== undefined) return known;
    const place = this.#known.size;
    this.#known.set(key, place);
    const scaled = scaledFigures(figures);
    if (scaled) this.#addScaled(scaled);
    else this.#addFloats(figures);
    return place;
  }

  get bytes(): Uint8Array {
    return this.#bytes.subarray(0, this.#length);
  }

  #addFloats(figures: readonly number[]): void {
    this.#byte(floats);
    this.#varint(figures.length);
    for (const figure of figures) {
      this.#room(8);
      this.#view.setFloat64(this.#length, figure, true);
      this.#length += 8;
    }
  }

  #addScaled({ decimals, whole }: Scaled): void {
    const order = bestOrder(whole);
    this.#byte(decimals * orders + order);
    this.#varint(whole.length);
    eachDifference(whole, order, (step) => this.#varint(step < 0 ? -2 * step - 1 : 2 * step));
  }

  #varint(value: number): void {
    let rest = value;
    for (; rest >= 128; rest = Math.floor(rest / 128)) this.#byte(128 + (rest % 128));
    this.#byte(rest);
  }

  #byte(value: number): void {
    this.#room(1);
    this.#bytes[this.#length++] = value;
  }

  #room(bytes: number): void {
    if (this.#length + bytes <= this.#bytes.length) return;
    const wider = new Uint8Array(2 * this.#bytes.length);
    wider.set(this.#bytes);
    this.#bytes = wider;
    this.#view = new DataView(wider.buffer);
  }
}

interface Scaled {
  readonly decimals: number;
  readonly whole: readonly number[];
}

/** Null where not all are exact decimals: they come back as they were, or not at all. */
function scaledFigures(figures: readonly number[]): Scaled | null {
  for (let decimals = 0; decimals <= mostDecimals; decimals++) {
    const power = 10 ** decimals;
    const whole: number[] = [];
    for (const figure of figures) {
      const scaled = Math.round(figure * power);
      if (scaled / power !== figure || Math.abs(scaled) > largest) break;
      whole.push(scaled);
    }
    if (whole.length === figures.length) return { decimals, whole };
  }
  return null;
}

function bestOrder(whole: readonly number[]): number {
  let best = 0;
  let least = Number.POSITIVE_INFINITY;
  for (let order = 0; order < orders; order++) {
    let bits = 0;
    eachDifference(whole, order, (step) => {
      bits += Math.log2(1 + Math.abs(step));
    });
    if (bits < least) [best, least] = [order, bits];
  }
  return best;
}

function eachDifference(
  whole: readonly number[],
  order: number,
  take: (step: number) => void,
): void {
  let [last, before] = [0, 0];
  for (const value of whole) {
    take(value - foretold(order, last, before));
    before = last;
    last = value;
  }
}

function foretold(order: number, last: number, before: number): number {
  if (order === 0) return 0;
  return order === 1 ? last : 2 * last - before;
}

/** The arrays of a table, by their places. Throws an Error where the bytes are none. */
export function readFigureTable(bytes: Uint8Array): readonly number[][] {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  let at = 0;
  const varint = (): number => {
    let [value, unit] = [0, 1];
    for (;;) {
      const byte = bytes[at++];
      if (byte === undefined) throw new Error('its table of figures ends too soon');
      value += (byte & 127) * unit;
      if (byte < 128) return value;
      unit *= 128;
    }
  };
  const tables: number[][] = [];
  while (at < bytes.length) {
    const kind = bytes[at++] as number;
    const length = varint();
    if (length > bytes.length - at) throw new Error('its table of figures ends too soon');
    tables.push(kind === floats ? readFloats(length) : readScaled(kind, length));
  }
  return tables;

  function readFloats(length: number): number[] {
    const figures = Array.from({ length }, (_, k) => view.getFloat64(at + 8 * k, true));
    at += 8 * length;
    return figures;
  }

  function readScaled(kind: number, length: number): number[] {
    const power = 10 ** Math.floor(kind / orders);
    const order = kind % orders;
    let [last, before] = [0, 0];
    const figures: number[] = new Array(length);
    for (let k = 0; k < length; k++) {
      const step = varint();
      const value = foretold(order, last, before) + (step % 2 ? -(step + 1) / 2 : step / 2);
      before = last;
      last = value;
      figures[k] = value / power;
    }
    return figures;
  }
}
