import { diff3Merge, diffIndices } from 'node-diff3';

/** Lines with what ends them, so that nothing is lost of a file whose last line has no end. */
function linesOf(text: string): string[] {
  return text.match(/[^\n]*\n|[^\n]+$/g) ?? [];
}

/**
 * What became of `base` in both texts: the changes of both, where they are of different lines or the same; null where the two change
 * the same lines in different ways.
 */
export function mergeLines(mine: string, base: string, theirs: string): string | null {
  const parts = diff3Merge(linesOf(mine), linesOf(base), linesOf(theirs), {
    excludeFalseConflicts: true,
  });
  const merged: string[] = [];
  for (const { ok } of parts) {
    if (!ok) return null;
    merged.push(...ok);
  }
  return merged.join('');
}

/** Lines beside a change that are shown with it. */
const around = 2;

/** The changes from one text to another: `@ line N`, then lines that begin with a space, `-` or `+`. */
export function changedLines(from: string, to: string): readonly string[] {
  const old = linesOf(from);
  const changes = diffIndices(old, linesOf(to));
  const shown: string[] = [];
  // Lines of `from` that were shown.
  let until = -1;
  for (const [index, { buffer1, buffer1Content, buffer2Content }] of changes.entries()) {
    const [start, length] = buffer1;
    const first = Math.max(0, start - around, until);
    if (first > until) shown.push(`@ line ${first + 1}`);
    const [next = old.length] = changes[index + 1]?.buffer1 ?? [];
    const after = start + length;
    until = Math.min(after + around, next);
    shown.push(
      ...old.slice(first, start).map((line) => ` ${line}`),
      ...buffer1Content.map((line) => `-${line}`),
      ...buffer2Content.map((line) => `+${line}`),
      ...old.slice(after, until).map((line) => ` ${line}`),
    );
  }
  return shown.map((line) => line.replace(/\r?\n$/, ''));
}
