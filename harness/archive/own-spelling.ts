/**
 * Whether a JSON text is spelled as `JSON.stringify` writes it, but for a line end. Another spelling can hold one key twice, and
 * two readers then read two things out of it: what is signed, and what is signed for, has one reading alone.
 */
export function isPlainlySpelled(text: string): boolean {
  try {
    return JSON.stringify(JSON.parse(text)) === text.trimEnd();
  } catch {
    return false;
  }
}

export const otherSpelling =
  'is spelled as Evenfall never writes it: it may hold a key twice, and say two things at once';
