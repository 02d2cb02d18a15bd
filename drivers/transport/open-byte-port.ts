import * as z from 'zod';
import type { BytePort } from './byte-port.ts';
import { openTcpPort } from './tcp-port.ts';

/** `tcp://host:port`, or the path of a serial port. */
export type Address =
  | { readonly kind: 'tcp'; readonly host: string; readonly port: number }
  | { readonly kind: 'serial'; readonly path: string };

const anAddress =
  'expected tcp://host:port or the path of a serial port, as in tcp://192.0.2.7:5025 or /dev/ttyUSB0';

/** `address:` of an instrument in the rig file. */
export const addressSetting = z.string(anAddress).transform((text, context): Address => {
  const address = readAddress(text);
  if (address) return address;
  context.addIssue({ code: 'custom', message: anAddress });
  return z.NEVER;
});

export function readAddress(text: string): Address | null {
  const tcp = /^tcp:\/\/(\[[0-9a-fA-F:.]+\]|[^\s:/[\]]+):(\d{1,5})$/.exec(text);
  if (tcp) {
    const port = Number(tcp[2]);
    const host = tcp[1]!.replace(/^\[|\]$/g, '');
    return port >= 1 && port <= 65535 ? { kind: 'tcp', host, port } : null;
  }
  if (text.startsWith('/') || /^COM\d+$/.test(text)) return { kind: 'serial', path: text };
  return null;
}

export function addressText(address: Address): string {
  return address.kind === 'tcp' ? `tcp://${address.host}:${address.port}` : address.path;
}

/** Opens either kind. The serial library is loaded only where a serial port is used. */
export async function openBytePort(
  address: Address,
  baud: number,
  signal: AbortSignal,
): Promise<BytePort> {
  if (address.kind === 'tcp') return openTcpPort(address.host, address.port, signal);
  const { openSerialLine } = await import('./serial-byte-port.ts');
  return openSerialLine({ path: address.path, baud }, signal);
}
