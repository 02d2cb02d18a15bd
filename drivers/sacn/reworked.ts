import type { RawMessage } from '../../harness/bench/ports.ts';
import { sacnFieldNames, sacnFields } from '../../harness/bench/sacn-fields.ts';

type Changes = Pick<Extract<RawMessage, { link: 'sacn' | 'dmx' }>, 'fields' | 'length'>;

/** A packet with other values in its fields, cut to `length` bytes or filled up to them with zeros: what no sound sender makes. */
export function reworked(
  packet: Uint8Array,
  { fields = {}, length = packet.length }: Changes,
): Uint8Array {
  const bytes = new Uint8Array(Math.max(length, packet.length));
  bytes.set(packet);
  const view = new DataView(bytes.buffer);
  for (const name of sacnFieldNames) {
    const value = fields[name];
    if (value === undefined) continue;
    const { at, size } = sacnFields[name];
    if (at + size > bytes.length) continue;
    if (size === 1) view.setUint8(at, value);
    else if (size === 2) view.setUint16(at, value);
    else view.setUint32(at, value);
  }
  return bytes.slice(0, length);
}
