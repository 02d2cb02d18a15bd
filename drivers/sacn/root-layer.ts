/** What every packet of ANSI E1.31 begins with: preamble, identifier, root layer, and the vector of its framing layer. */

const packetId = new TextEncoder().encode('ASC-E1.17\0\0\0');
const nameAt = 44;
const nameEnd = 108;

export interface Head {
  readonly cid: Uint8Array;
  /** 4 data, 8 extended. */
  readonly root: number;
  readonly framing: number;
}

/** Writes the head into a packet of its final length; flags and lengths follow from that. */
export function writeHead(bytes: Uint8Array, { cid, root, framing }: Head): DataView {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  view.setUint16(0, 0x0010);
  bytes.set(packetId, 4);
  view.setUint16(16, 0x7000 | (bytes.length - 16));
  view.setUint32(18, root);
  bytes.set(cid, 22);
  view.setUint16(38, 0x7000 | (bytes.length - 38));
  view.setUint32(40, framing);
  return view;
}

/** Preamble, post-amble and identifier are those of ACN. */
export function isAcn(bytes: Uint8Array): boolean {
  const preamble = [0, 0x10, 0, 0];
  return (
    preamble.every((byte, index) => bytes[index] === byte) &&
    packetId.every((byte, index) => bytes[4 + index] === byte)
  );
}

export function headOf(view: DataView): Head {
  const cid = new Uint8Array(view.buffer, view.byteOffset + 22, 16).slice();
  return { cid, root: view.getUint32(18), framing: view.getUint32(40) };
}

/** The name of the source, which ends with a zero. */
export function nameIn(bytes: Uint8Array): string {
  return new TextDecoder().decode(bytes.subarray(nameAt, nameEnd)).replace(/\0.*$/s, '');
}

/** At most 63 bytes of UTF-8, cut between characters. */
export function nameBytes(name: string): Uint8Array {
  let text = name;
  let bytes = new TextEncoder().encode(text);
  while (bytes.length > 63)
    bytes = new TextEncoder().encode((text = [...text].slice(0, -1).join('')));
  return bytes;
}
