import type { GearCounts } from './gear-meters.ts';
import { type GearRegisters, oemBytes } from './gear-registers.ts';
import type { LightTarget } from './light-control.ts';

/** What comes back after a power loss. */
export interface Remembered {
  readonly light: LightTarget;
  readonly registers: GearRegisters;
  readonly counts: GearCounts;
}

/** Marks a memory that this firmware has written; a fresh one holds something else. */
const marker = 0xe8;
const checksumAt = 255;
const lightAt = 56;
const oemAt = 39;
/** Intensities for which there is room; of a lamp with more channels the others come back at 1. */
const mostKept = 40;
const countsAt = 220;

/** Writes into the 256 bytes of non-volatile memory, with a checksum. */
export function remember(memory: Uint8Array, { light, registers, counts }: Remembered): void {
  const view = new DataView(memory.buffer, memory.byteOffset, memory.byteLength);
  memory[0] = marker;
  memory[1] = light.intensities.length;
  byteFields.forEach((name, index) => {
    memory[2 + index] = registers[name];
  });
  view.setUint16(12, registers.groups);
  view.setUint16(14, registers.coolest);
  view.setUint16(16, registers.warmest);
  memory.set(registers.scenes, 20);
  memory[36] = registers.randomAddress >> 16;
  view.setUint16(37, registers.randomAddress & 0xffff);
  memory.set(registers.oem, oemAt);
  [light.level, ...light.intensities.slice(0, mostKept)].forEach((value, index) => {
    view.setFloat32(lightAt + 4 * index, value);
  });
  [counts.operating, counts.lit, counts.energy].forEach((value, index) => {
    view.setFloat64(countsAt + 8 * index, value);
  });
  view.setUint16(countsAt + 24, counts.starts);
  view.setUint16(countsAt + 26, counts.lightStarts);
  memory[checksumAt] = checksum(memory);
}

/** What the memory holds; null when it is fresh, damaged or of a lamp with other channels. */
export function recall(memory: Uint8Array, channels: number): Remembered | null {
  if (memory[0] !== marker || memory[1] !== channels) return null;
  if (memory[checksumAt] !== checksum(memory)) return null;
  const view = new DataView(memory.buffer, memory.byteOffset, memory.byteLength);
  const [level = 0, ...intensities] = Array.from({ length: 1 + channels }, (_, index) =>
    index > mostKept ? 1 : view.getFloat32(lightAt + 4 * index),
  );
  const bytes = Object.fromEntries(byteFields.map((name, index) => [name, memory[2 + index] ?? 0]));
  return {
    light: { level, intensities },
    counts: {
      operating: view.getFloat64(countsAt),
      lit: view.getFloat64(countsAt + 8),
      energy: view.getFloat64(countsAt + 16),
      starts: view.getUint16(countsAt + 24),
      lightStarts: view.getUint16(countsAt + 26),
    },
    registers: {
      ...(bytes as Record<(typeof byteFields)[number], number>),
      groups: view.getUint16(12),
      coolest: view.getUint16(14),
      warmest: view.getUint16(16),
      scenes: [...memory.subarray(20, 36)],
      randomAddress: (view.getUint8(36) << 16) | view.getUint16(37),
      oem: [...memory.subarray(oemAt, oemAt + oemBytes)],
    },
  };
}

const byteFields = [
  'shortAddress',
  'max',
  'min',
  'powerOnLevel',
  'systemFailureLevel',
  'fadeTime',
  'fadeRate',
  'extendedFadeTime',
] as const;

function checksum(memory: Uint8Array): number {
  return memory.subarray(0, checksumAt).reduce((sum, byte) => (sum * 31 + byte) & 0xff, 0x5a);
}
