/**
 * Matcher of a command header as manuals print it: capitals are the short form, brackets are optional, `#` stands for
 * a numeric suffix. `INPut#:RANGe` matches `INP3:RANG` and `INPUT3:RANGE`, nothing between short and long.
 * Returns the suffixes (1 where none is written), or null.
 */
export function headerPattern(pattern: string): (header: string) => number[] | null {
  const source = pattern
    .replace(/\[([^\]]*)\]/g, '(?:$1)?')
    .replace(/[A-Z]+[a-z]*(?![a-z])/g, (word) => {
      const short = word.replace(/[a-z]/g, '');
      return short === word ? word : `(?:${word.toUpperCase()}|${short})`;
    })
    .replaceAll('#', '(\\d*)')
    .replace(/^\*/, '\\*');
  const expression = new RegExp(`^${source}$`);
  return (header) => {
    const found = expression.exec(header);
    return found ? found.slice(1).map((digits) => (digits === '' ? 1 : Number(digits))) : null;
  };
}
