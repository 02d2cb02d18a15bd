import * as z from 'zod';
import { readable } from '../../harness/files/schema-parts.ts';
import type { BytePort } from './byte-port.ts';
import { openTcpPort } from './tcp-port.ts';

/** `tcp://host:port`, or the path of a serial port. */
export type Address =
  | { readonly kind: 'tcp'; readonly host: string; readonly port: number }
  | { readonly kind: 'serial'; readonly path: string };

/** `address:` of an instrument in the rig file. */
export const addressSetting = readable(
  'Where it is: tcp://host:port, or the path of a serial port.',
  'tcp://host:port or the path of a serial port, as in tcp://192.0.2.7:5025 or /dev/ttyUSB0',
  'tcp://192.0.2.7:5025',
  readAddress,
);

/** `baud:` of an instrument on a serial port. */
export const baudSetting = (about: string) =>
  z.int().min(50).max(10_000_000).meta({ description: about });

export function readAddress(text: string): Address | null {
  const tcp = /^tcp:\/\/(\[[0-9a-fA-F:.]+\]|[^\s:/[\]]+):(\d{1,5})$/.exec(text);
  if (tcp) {
    const [, host = '', digits] = tcp;
    const port = Number(digits);
    if (port < 1 || port > 65535) return null;
    return { kind: 'tcp', host: host.replace(/^\[|\]$/g, ''), port };
  }
  if (text.startsWith('/') || /^COM\d+$/.test(text)) return { kind: 'serial', path: text };
  return null;
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
