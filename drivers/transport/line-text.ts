/** The text of a line that came as bytes, without its end. What is no UTF-8 becomes U+FFFD. */
export function lineText(bytes: Uint8Array): string {
  return Buffer.from(bytes)
    .toString('utf8')
    .replace(/\r*\n$/, '');
}
