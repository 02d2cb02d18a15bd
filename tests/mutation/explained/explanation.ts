/** A survivor that no test can kill, or that none needs to: the same figures come out, or only their cost differs. */
export interface Explained {
  readonly file: string;
  readonly original: string;
  /** Absent: whatever it is replaced by. */
  readonly replacement?: string;
  readonly why: string;
}

/** Loops over arrays of numbers that go one place too far: nothing is read there that counts, and nothing can be written. */
export function behindTheEnd(file: string, ...conditions: readonly string[]): readonly Explained[] {
  return conditions.map((original) => ({
    file,
    original,
    replacement: original.replace(' < ', ' <= '),
    why: 'Behind its end an array of numbers takes nothing, and gives nothing that counts.',
  }));
}

/** Conditions that are replaced by what makes the other way be gone: it leads to the same figures, at another cost. */
export function sameEitherWay(
  file: string,
  why: string,
  ...changes: readonly (readonly [string, string])[]
) {
  return changes.map(
    ([original, replacement]): Explained => ({ file, original, replacement, why }),
  );
}
