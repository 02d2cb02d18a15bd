/** One unit of a program message: `INP3:RANG 0.5` is header `INP3:RANG`, no query, arguments `0.5`. */
export interface MessageUnit {
  /** In upper case, with its whole path from the root, without `?`. */
  readonly header: string;
  readonly query: boolean;
  readonly args: readonly string[];
}

/**
 * Splits a program message into its units. A header without a leading colon goes on from the path of the unit before
 * (SCPI-1999 volume 1, 6.2.4); common commands leave the path as it is.
 */
export function readMessage(line: string): MessageUnit[] {
  let path = '';
  return splitOutside(line, ';')
    .map((text) => text.trim())
    .filter((text) => text !== '')
    .map((text) => {
      const [, typed = '', rest = ''] = /^(\S+)\s*([\s\S]*)$/.exec(text) ?? [];
      const query = typed.endsWith('?');
      const bare = (query ? typed.slice(0, -1) : typed).toUpperCase();
      const header = fullHeader(bare, path);
      if (!bare.startsWith('*')) path = header.slice(0, header.lastIndexOf(':') + 1);
      const args = rest === '' ? [] : splitOutside(rest, ',').map((arg) => arg.trim());
      return { header, query, args };
    });
}

function fullHeader(bare: string, path: string): string {
  if (bare.startsWith('*')) return bare;
  return bare.startsWith(':') ? bare.slice(1) : path + bare;
}

/** Splits at a separator that is not within quotes. */
function splitOutside(text: string, separator: string): string[] {
  const parts: string[] = [''];
  let quote = '';
  for (const letter of text) {
    if (quote === '' && (letter === '"' || letter === "'")) quote = letter;
    else if (letter === quote) quote = '';
    if (letter === separator && quote === '') parts.push('');
    else parts[parts.length - 1] += letter;
  }
  return parts;
}
