import type { Lamp } from '../../bench/lamp.ts';
import type { linkNames } from '../../bench/links.ts';

/** Links that a lamp can be commanded on. */
export const lampLinks = ['console', 'dali', 'dmx', 'sacn'] as const satisfies typeof linkNames;
export type LampLink = (typeof lampLinks)[number];

/** What DALI gear can have beyond its levels, as lamp files call it. */
export const daliParts = ['tunable-white', 'rgbwaf', 'banks'] as const;

/** What is known of a lamp for which a file is written. */
export interface LampAnswers {
  readonly name: string;
  readonly channels: readonly string[];
  readonly links: readonly LampLink[];
  readonly dali: readonly (typeof daliParts)[number][];
  readonly rdm: boolean;
  /** Bits of a value on DMX512 and sACN. */
  readonly slotBits: 8 | 16;
  readonly onLoss: 'hold' | 'off';
  readonly curve: Lamp['curve']['kind'];
  /** Not analogue: LEDs give another light for each ampere at other currents, and no claim at the bottom would pass. */
  readonly modulation: Exclude<Lamp['modulation']['kind'], 'analogue'>;
  readonly stage: Lamp['stage']['kind'];
  readonly supply: Lamp['supply']['kind'];
}
