import { createHash } from 'node:crypto';

/**
 * SHA-256 (hex) of what a packed capture says, whatever its file is called: a merged run numbers its captures anew, and the first line of a
 * capture has its name. Of bytes that do not begin as a capture does, that of all of them.
 */
export function contentOfCapture(bytes: Uint8Array): string {
  const end = bytes.indexOf(lineEnd);
  const line = Buffer.from(bytes.subarray(0, Math.max(end, 0))).toString('utf8');
  const head = headOf(line);
  const hash = createHash('sha256');
  if (!head) return hash.update(bytes).digest('hex');
  const { file: _, ...said } = head;
  return hash.update(JSON.stringify(said)).update(bytes.subarray(end)).digest('hex');
}

const lineEnd = 0x0a;

function headOf(line: string): Readonly<Record<string, unknown>> | null {
  if (!line.startsWith('{')) return null;
  try {
    return JSON.parse(line);
  } catch {
    return null;
  }
}
