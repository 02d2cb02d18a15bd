import { colourOpcode, opcode, special } from './opcodes.ts';

/** A forward frame: two bytes, most significant first. */
export type ForwardFrame = readonly [number, number];

export type DaliAddress =
  | { readonly to: 'short'; readonly address: number }
  | { readonly to: 'group'; readonly group: number }
  | { readonly to: 'broadcast' }
  | { readonly to: 'unaddressed' };

/** 16 bit forward frame at 1200 bit/s with start bit and 2 stop bits: 19 bit times, s. IEC 62386-101. */
export const forwardFrameTime = 19 / 1200;
/** A frame of so many bytes, s: start bit, its bits and 2 stop bits. */
export function frameTimeOf(frame: readonly number[]): number {
  return (3 + 8 * frame.length) / 1200;
}
/** 8 bit backward frame with start and stop: 11 bit times, s. */
export const backwardFrameTime = 11 / 1200;
/** Gap from a forward to a backward frame, s (edition 2: 5.5 to 10.5 ms). */
export const answerGap = 8e-3;
/** Idle time before the next forward frame, s: priority 1 (13.5 to 14.7 ms) and priority 2 (14.9 to 16.1 ms). */
export const gapPriority1 = 14.1e-3;
export const gapPriority2 = 15.5e-3;
/** Both frames of a configuration command must lie within this time, s. IEC 62386-102. */
export const sendTwiceWindow = 0.1;
/** "No change" in a level. */
export const mask = 255;

/** Address byte: `0AAAAAAS`, `100AAAAS`, `1111111S`, `1111110S`; S = 1 for commands, 0 for levels. */
export function addressByte(address: DaliAddress, selector: 0 | 1): number {
  switch (address.to) {
    case 'short':
      return (address.address << 1) | selector;
    case 'group':
      return 0x80 | (address.group << 1) | selector;
    case 'broadcast':
      return 0xfe | selector;
    case 'unaddressed':
      return 0xfc | selector;
  }
}

/** Who an address byte speaks to; null for special commands and reserved patterns. */
export function addressOf(byte: number): DaliAddress | null {
  if (byte < 0x80) return { to: 'short', address: byte >> 1 };
  if (byte < 0xa0) return { to: 'group', group: (byte >> 1) & 0x0f };
  if (byte >= 0xfe) return { to: 'broadcast' };
  if (byte >= 0xfc) return { to: 'unaddressed' };
  return null;
}

/** Direct arc power control: 0 off, 1..254 level, 255 stops a running fade. */
export function levelFrame(address: DaliAddress, level: number): ForwardFrame {
  return [addressByte(address, 0), level];
}

export function commandFrame(address: DaliAddress, code: number): ForwardFrame {
  return [addressByte(address, 1), code];
}

/** Bytes in frames of 24 bits, the last one filled with zeros: for control devices, never for control gear. */
export function longFrames(bytes: Uint8Array): readonly (readonly [number, number, number])[] {
  return Array.from({ length: Math.ceil(bytes.length / 3) }, (_, index) => {
    const [first = 0, second = 0, third = 0] = bytes.subarray(3 * index, 3 * index + 3);
    return [first, second, third] as const;
  });
}

/** Frames that put `code` into the gear's fade time (DTR0, then SET FADE TIME, which goes twice). */
export function fadeTimeFrames(
  address: DaliAddress,
  code: number,
): readonly [ForwardFrame, ForwardFrame, ForwardFrame] {
  const set = commandFrame(address, opcode.setFadeTime);
  return [[special.dtr0, code], set, set];
}

/** Frames that load the temporary dim level 0..65534 of primary N (0..5). IEC 62386-209. */
export function primaryFrames(
  address: DaliAddress,
  primary: number,
  value: number,
): readonly ForwardFrame[] {
  return [
    [special.dtr0, value & 0xff],
    [special.dtr1, value >> 8],
    [special.dtr2, primary],
    [special.enableDeviceType, 8],
    commandFrame(address, colourOpcode.setPrimary),
  ];
}

/** Highest dim level of a primary; 65535 is MASK. */
export const highestPrimary = 65534;

/** Gears take this many primaries (IEC 62386-209). */
export const mostPrimaries = 6;
