import { markedLine } from './plain-text.ts';

/** Well-formed UTF-8, each byte as a character. Source: RFC 3629, section 4. */
const wellFormed =
  /(?:[\x00-\x7f]|[\xc2-\xdf][\x80-\xbf]|\xe0[\xa0-\xbf][\x80-\xbf]|[\xe1-\xec\xee\xef][\x80-\xbf]{2}|\xed[\x80-\x9f][\x80-\xbf]|\xf0[\x90-\xbf][\x80-\xbf]{2}|[\xf1-\xf3][\x80-\xbf]{3}|\xf4[\x80-\x8f][\x80-\xbf]{2})+/g;

const utf8 = new TextDecoder('utf-8', { ignoreBOM: true });

/** One line of bytes that are meant to be UTF-8: control characters as `<U+001B>`, bytes that are no UTF-8 as `<0xFF>`. */
export function visibleText(bytes: Uint8Array): string {
  const characters = Array.from(bytes, (byte) => String.fromCharCode(byte)).join('');
  const parts: string[] = [];
  let at = 0;
  for (const { 0: part, index } of characters.matchAll(wellFormed)) {
    parts.push(noText(bytes.subarray(at, index)));
    at = index + part.length;
    parts.push(utf8.decode(bytes.subarray(index, at)));
  }
  return markedLine([...parts, noText(bytes.subarray(at))].join(''));
}

function noText(bytes: Uint8Array): string {
  const marks = Array.from(bytes, (byte) => byte.toString(16).toUpperCase().padStart(2, '0'));
  return marks.map((mark) => `<0x${mark}>`).join('');
}
