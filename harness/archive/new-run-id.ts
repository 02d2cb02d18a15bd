/** A new run's id: 80 random bits in hexadecimal. */
export function newRunId(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(10));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');
}
