import type { Mutant } from './mutants.ts';

/** A survivor that no test can kill, or that none needs to: the same figures come out, or only their cost differs. */
interface Explained {
  readonly file: string;
  readonly original: string;
  /** Absent: whatever it is replaced by. */
  readonly replacement?: string;
  readonly why: string;
}

const explained: readonly Explained[] = [];

export function explanationOf({ file, original, replacement }: Mutant): string | undefined {
  return explained.find(
    (each) =>
      each.file === file &&
      each.original === original &&
      (each.replacement ?? replacement) === replacement,
  )?.why;
}
