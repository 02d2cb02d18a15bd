/** Words of a lamp that says no, in whatever way. Common practice, no source. */
const refusal =
  /\b(no|nak|not|cannot|can't|don't|err|error|fail(ed|ure)?|invalid|illegal|unknown|un\w*supported|un\w*recogni[sz]ed|bad|wrong|refused?|reject(ed)?|denied|forbidden|disabled|locked|busy|out of range|range|limit|overflow|missing|syntax|usage|what|huh)\b|\?/i;

/** Whether a reply is a refusal by what it says, and not by what it lacks. */
export function isRefusal(words: string): boolean {
  return refusal.test(words);
}

/**
 * Whether a reply quotes another line than was sent: then the line did not arrive as it left, or the reply belongs to
 * another one, and neither is the lamp's fault. `commands` are the fixed first words of the lamp's commands.
 */
export function quotesAnother(words: string, sent: string, commands: readonly string[]): boolean {
  const line = plain(sent);
  const another = (quote: string): boolean => {
    const text = plain(quote);
    if (text.length < 2 || line.includes(text)) return false;
    return resembles(text, line, 0.5) || commands.includes(text.split(' ')[0] ?? '');
  };
  // The whole of it may be an echo that went wrong.
  return quotesIn(words).some(another) || resembles(plain(words), line, 0.7);
}

/** Whether a reply is another one but for a character. */
export function isAlmost(words: string, ok: string): boolean {
  const [one, other] = [words.trim(), ok.trim()];
  return one !== other && Math.min(one.length, other.length) > 1 && editDistance(one, other) <= 1;
}

/** Like the line or its beginning, but not the same. */
function resembles(text: string, line: string, more: number): boolean {
  if (line.includes(text)) return false;
  return likeness(text, line) > more || likeness(text, line.slice(0, text.length)) > more;
}

/** What stands in quotation marks or behind a colon. */
function quotesIn(words: string): string[] {
  const marked = [...words.matchAll(/["“”'‘’`<]([^"“”'‘’`<>]+)["“”'‘’`>]/g)].map(
    (match) => match[1] ?? '',
  );
  const behind = /[:=]\s*(\S.*)$/.exec(words)?.[1];
  return [...marked, ...(behind === undefined ? [] : [behind])];
}

function plain(text: string): string {
  return text.trim().replace(/\s+/g, ' ').toLowerCase();
}

/** 1 less the edit distance as a part of the longer text. */
function likeness(one: string, other: string): number {
  const longest = Math.max(one.length, other.length);
  return longest === 0 ? 1 : 1 - editDistance(one, other) / longest;
}

function editDistance(one: string, other: string): number {
  let row = Array.from({ length: other.length + 1 }, (_, k) => k);
  for (let i = 1; i <= one.length; i++) {
    const next = [i];
    for (let k = 1; k <= other.length; k++) {
      const exchanged = (row[k - 1] ?? 0) + (one[i - 1] === other[k - 1] ? 0 : 1);
      next.push(Math.min(exchanged, (row[k] ?? 0) + 1, (next[k - 1] ?? 0) + 1));
    }
    row = next;
  }
  return row[other.length] ?? 0;
}
