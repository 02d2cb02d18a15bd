/**
 * One line of text without anything that a terminal, a log or a reader could take for a command: control characters
 * (C0, DEL, C1), lone surrogates, non-characters and the marks that turn the direction of writing. A lamp's console,
 * an instrument and a spec file are all hands of strangers.
 */
export function plainLine(text: string): string {
  return plainText(text)
    .replace(/[\n\t]+/g, ' ')
    .trim();
}

/** As `plainLine`, but line ends and tabs stay. */
export function plainText(text: string): string {
  return text
    .replace(/\r\n?/g, '\n')
    .replace(escapeSequences, '')
    .replace(commands, '')
    .replace(loneSurrogates, '\u{fffd}');
}

/** ANSI colour and cursor sequences go whole, so that no `[31m` is left behind. */
const escapeSequences =
  /(?:\u001b\[|\u009b)[0-?]*[ -/]*[@-~]|(?:\u001b\]|\u009d)[^\u0007\u001b\u009c]*(?:\u0007|\u001b\\|\u009c)?/g;
const commands =
  /[\u0000-\u0008\u000b-\u001f\u007f-\u009f\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff\ufffe\uffff]/g;
const loneSurrogates = /[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/g;

/** Each control character or mark as a space, so that columns stay where they are. */
export function blanked(text: string): string {
  return text
    .replace(commands, ' ')
    .replace(/[\t\n]/g, ' ')
    .replace(loneSurrogates, '\u{fffd}');
}

/** One line with each control character or mark as `<U+202E>`: in a key that is not known it is the fault itself. */
export function markedLine(text: string): string {
  return text.replace(/[\n\t]/g, ' ').replace(commands, (mark) => {
    const code = mark.codePointAt(0)?.toString(16).toUpperCase().padStart(4, '0');
    return `<U+${code}>`;
  });
}

/**
 * Text for a terminal with no commands in it but our own: bold, dim and plain colours, and the clearing of a line. The
 * last wall, behind `plainLine` where a stranger's text enters.
 */
export function forTerminal(text: string): string {
  return text
    .split(ownCommands)
    .map((part, index) => (index % 2 === 1 ? part : withoutCommands(part)))
    .join('');
}

function withoutCommands(text: string): string {
  return text
    .replace(escapeSequences, '')
    .replace(commands, '')
    .replace(loneSurrogates, '\u{fffd}');
}

const ownCommands = /(\u001b\[(?:0|1|2|4|22|24|3[0-79]|9[0-7])m|\r\u001b\[2K)/;
