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
const escapeSequences = /\u001b(?:\[[0-?]*[ -/]*[@-~]|\][^\u0007\u001b]*(?:\u0007|\u001b\\)?)/g;
const commands =
  /[\u0000-\u0008\u000b-\u001f\u007f-\u009f\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff\ufffe\uffff]/g;
const loneSurrogates = /[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/g;

/** Each control character as a space, so that columns stay where they are. */
export function blanked(text: string): string {
  return text.replace(/[\u0000-\u001f\u007f-\u009f]/g, ' ');
}
