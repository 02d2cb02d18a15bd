/** Seeded random numbers: xoshiro128** (Blackman & Vigna 2018, from memory) seeded by an FNV-1a hash of seed and name. */
export class Random {
  /** State of the generator, 4 words of 32 bits. */
  private a: number;
  private b: number;
  private c: number;
  private d: number;

  /** Streams with other names are independent; the same seed and name give the same numbers for ever. */
  constructor(seed: number, name: string) {
    const hash = fnv1a(`${seed}/${name}`);
    const step = 0x9e3779b9;
    this.a = mix((hash + step) | 0);
    this.b = mix((hash + 2 * step) | 0);
    this.c = mix((hash + 3 * step) | 0);
    this.d = mix((hash + 4 * step) | 0);
  }

  /** 32 random bits. */
  bits(): number {
    const { b } = this;
    const result = Math.imul(rotate(Math.imul(b, 5), 7), 9) >>> 0;
    this.c ^= this.a;
    this.d ^= b;
    this.b ^= this.c;
    this.a ^= this.d;
    this.c ^= b << 9;
    this.d = rotate(this.d, 11);
    return result;
  }

  /** Uniform in [0, 1). */
  uniform(): number {
    return this.bits() / 2 ** 32;
  }

  /** Gaussian, mean 0, standard deviation 1 (Box & Muller 1958). */
  gaussian(): number {
    const radius = Math.sqrt(-2 * Math.log(1 - this.uniform()));
    return radius * Math.cos(2 * Math.PI * this.uniform());
  }

  /** Gaussian held within ±2 standard deviations: parts that passed their incoming inspection. */
  within(standard: number): number {
    let value = this.gaussian();
    while (Math.abs(value) > 2) value = this.gaussian();
    return value * standard;
  }
}

function fnv1a(text: string): number {
  let hash = 0x811c9dc5;
  for (let i = 0; i < text.length; i++) {
    hash = Math.imul(hash ^ text.charCodeAt(i), 0x01000193);
  }
  return hash;
}

/** Finaliser of MurmurHash3 (Appleby, from memory). */
function mix(value: number): number {
  let h = value;
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return (h ^ (h >>> 16)) >>> 0;
}

function rotate(value: number, by: number): number {
  return (value << by) | (value >>> (32 - by));
}

/** A number 0..1 that looks random and is always the same for the same index (Murmur finaliser, from memory). */
export function scatter(index: number): number {
  let bits = Math.imul(index ^ 0x2545f491, 0x85ebca6b);
  bits = Math.imul(bits ^ (bits >>> 13), 0xc2b2ae35);
  return ((bits ^ (bits >>> 16)) >>> 0) / 2 ** 32;
}
