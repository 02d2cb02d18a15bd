import type { Heard } from '../../harness/bench/heard.ts';

/** Level and warm channel as values of 16 bits, the other channels dark. */
export const slots = (level: number, warm = 65_535) => [
  level >> 8,
  level & 255,
  warm >> 8,
  warm & 255,
  ...Array(10).fill(0),
];
/** The value of a light on the curve of the lamp: 1 is 0.1 %, 65535 is 100 %. */
export const value = (share: number) => Math.round(1 + (1 + Math.log10(share) / 3) * 65_534);
export const dmx = (at: number, own: readonly number[], startCode = 0): Heard => ({
  kind: 'dmx',
  at,
  startCode,
  slots: own,
});

const cids = { one: 1, two: 2 };

interface Packet {
  readonly by?: keyof typeof cids;
  readonly priority?: number;
  readonly sequence?: number;
  readonly sync?: number;
  readonly options?: number;
  readonly universe?: number;
  readonly startCode?: number;
}

/** A data packet of E1.31, written out byte by byte. */
export function sacn(at: number, own: readonly number[], packet: Packet = {}): Heard {
  const {
    by = 'one',
    priority = 100,
    sequence = Math.round(at * 10),
    sync = 0,
    options = 0,
    universe = 7,
    startCode = 0,
  } = packet;
  const word = (number: number) => [number >> 8, number & 255];
  const length = 126 + own.length;
  const name = Array(64).fill(0);
  const datagram = [
    ...[0, 16, 0, 0, 0x41, 0x53, 0x43, 0x2d, 0x45, 0x31, 0x2e, 0x31, 0x37, 0, 0, 0],
    ...[...word(0x7000 + length - 16), 0, 0, 0, 4, ...Array(16).fill(cids[by])],
    ...[
      ...word(0x7000 + length - 38),
      0,
      0,
      0,
      2,
      ...name,
      priority,
      ...word(sync),
      sequence & 255,
      options,
      ...word(universe),
    ],
    ...[
      ...word(0x7000 + length - 115),
      2,
      0xa1,
      0,
      0,
      0,
      1,
      ...word(own.length + 1),
      startCode,
      ...own,
    ],
  ];
  return { kind: 'sacn', at, datagram };
}

export function syncPacket(at: number, address: number, sequence = Math.round(at * 10)): Heard {
  const head = [
    0, 16, 0, 0, 0x41, 0x53, 0x43, 0x2d, 0x45, 0x31, 0x2e, 0x31, 0x37, 0, 0, 0, 0x70, 33, 0, 0, 0,
    8,
  ];
  const datagram = [
    ...head,
    ...Array(16).fill(1),
    0x70,
    11,
    0,
    0,
    0,
    1,
    sequence & 255,
    address >> 8,
    address & 255,
    0,
    0,
  ];
  return { kind: 'sacn', at, datagram };
}
