import { tenth } from './frame.ts';

/** Words under a ruler and where their middle belongs. */
export interface RulerWord {
  readonly text: string;
  readonly at: number;
}

export interface PlacedWord {
  readonly text: string;
  /** Left end. */
  readonly start: number;
}

/** Widest usual figure at 11 px, and the air between two words. */
const charWidth = 6.4;
const air = 6;

/** Room that a word takes. */
function widthOf(text: string): number {
  return text.length * charWidth;
}

/**
 * Words along a line from 0 to `width`, in their order: each as near to its place as the ends and the words before it leave room. Words
 * that find no room any more are left out; the first ones matter most.
 */
export function placedWords(words: readonly RulerWord[], width: number): readonly PlacedWord[] {
  const placed: PlacedWord[] = [];
  for (const { text, at } of words) {
    const own = widthOf(text);
    const wanted = Math.min(width - own, Math.max(0, at - own / 2));
    const start = nearestFree(placed, own, wanted, width);
    if (start !== null) placed.push({ text, start: tenth(start) });
  }
  return placed;
}

/** The free place nearest to the wanted one: there, or right beside a word that stands. */
function nearestFree(
  placed: readonly PlacedWord[],
  own: number,
  wanted: number,
  width: number,
): number | null {
  const beside = placed.flatMap(({ start, text }) => [
    start - air - own,
    start + widthOf(text) + air,
  ]);
  const free = [wanted, ...beside].filter(
    (start) =>
      start >= 0 &&
      start + own <= width &&
      placed.every(
        (other) =>
          start + own + air <= other.start + 1e-6 ||
          start >= other.start + widthOf(other.text) + air - 1e-6,
      ),
  );
  const [best] = free.sort((a, b) => Math.abs(a - wanted) - Math.abs(b - wanted));
  return best ?? null;
}
