import { plainLine } from '../../harness/files/plain-text.ts';

/** What a line says without its prompt; nothing where it is the echo of what was sent, or no text. */
export function saying(line: string, sent: string): string {
  if (isGarbage(line)) return '';
  const text = plainLine(line.replace(/^[\w.-]{0,20}[>#$] ?/, ''));
  return text === sent.trim() ? '' : text;
}

/** Bytes that were no UTF-8, or control characters other than tabs and colour codes: noise of a start, or of a wrong baud rate. */
function isGarbage(line: string): boolean {
  return /[\ufffd\u0000-\u0008\u000e-\u001a\u007f]/.test(line);
}
