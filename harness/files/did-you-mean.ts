import { closest, distance } from 'fastest-levenshtein';

/** `; did you mean "hold"?` where one of the words is near enough to be meant, else nothing. */
export function didYouMean(word: string, words: readonly string[]): string {
  if (words.length === 0 || word.length < 3 || word.length > 60) return '';
  const near = closest(word.toLowerCase(), words as string[]);
  // A third of the letters may be wrong: more, and the guess would be wilder than helpful.
  const allowed = Math.ceil(Math.min(word.length, near.length) / 3);
  return distance(word.toLowerCase(), near) <= allowed ? `; did you mean "${near}"?` : '';
}

/** Of the words, those nearest to the one that is not among them, the nearest first: what a list too long to print is told by. */
export function nearestWords(word: string, words: readonly string[], most: number): string[] {
  const asked = word.toLowerCase();
  return words
    .map((known) => ({ known, apart: distance(asked, known.toLowerCase()) }))
    .sort((a, b) => a.apart - b.apart || (a.known < b.known ? -1 : 1))
    .slice(0, most)
    .map(({ known }) => known);
}
