import { type addressOf, mask } from '../../dali/frame.ts';
import type { GearRegisters } from './gear-registers.ts';

type Address = NonNullable<ReturnType<typeof addressOf>>;

/** What a fault needs to know of the gear as a command or a query finds it. */
interface GearAtCommand {
  readonly registers: GearRegisters;
  /** Level 0..254 at this moment. */
  readonly actual: number;
}

interface GearAtQuery extends GearAtCommand {
  /** Level that was ordered last over DALI, 0..254; null where another link has set the light. */
  readonly ordered: number | null;
  /** The last order was one to fade, whether or not it has arrived. */
  readonly faded: boolean;
}

interface FadeOrder {
  /** Levels 0..254. */
  readonly from: number;
  readonly to: number;
  /** s */
  readonly over: number;
}

/** The places where the DALI gear of the reference firmware can be wrong. All functions are pure. */
export interface GearTraits {
  /** Whether a frame to this address is for gear with these settings. */
  isUs(address: Address, registers: GearRegisters): boolean;
  /** What MASK as a level does. */
  readonly maskLevel: 'stops' | 'nothing' | 'full';
  /** Code of the command that the gear takes one for which moves the light; null: it does nothing. */
  takesFor(code: number, gear: GearAtCommand): number | null;
  /** A configuration command that came once waits on when another frame comes. */
  readonly waitsForSecond: boolean;
  /** Level that is stored where it is `actual` now. */
  storedLevel(actual: number): number;
  /** s for which a DAPC sequence waits for its next level, and that each level takes. */
  readonly sequenceWait: number;
  readonly sequenceFade: number;
  /** s for which UP and DOWN run. */
  readonly runTime: number;
  /** s that the fades of these settings take, where `seconds` is right. */
  fadeSeconds(registers: GearRegisters, seconds: number): number;
  /** s that a scene takes where `seconds` is right, and RECALL MAX and MIN with this fade time. */
  sceneSeconds(seconds: number): number;
  recallSeconds(fadeTime: number): number;
  /** s that a fade from one level to another takes. */
  fadeOver(order: FadeOrder): number;
  /** Level to which a fade to or from dark goes or comes where MIN is `min`. */
  darkEnd(min: number): number;
  /** Level that the light has after a fade to dark, with MIN. */
  afterFadeToDark(min: number): number;
  /** A changed fade time moves a running fade. */
  readonly retimesFades: boolean;
  /** A level that is the last one that came over DALI does nothing. */
  readonly ignoresSameLevel: boolean;
  /** Another link that sets the light is noted. */
  readonly notesOtherLinks: boolean;
  /** Changed limits bring the light back between them at once. */
  readonly limitsMoveLight: boolean;
  /** Level of the light where the gear says that it held `wanted` at `held`. */
  litLevel(wanted: number, held: number): number;
  /** Whether the limit error is set, where it was `before` and should be `now`. */
  limitError(before: boolean, now: boolean): boolean;
  /** Byte that answers a query, null is silence, where `byte` is right. */
  told(code: number, byte: number | null, gear: GearAtQuery): number | null;
  /** s after power-up in which a command keeps the power-on level away. */
  readonly powerOnWait: number;
  /** The power-on level that is gone to, MASK the last level, where `level` is set. */
  powerOnLevel(level: number): number;
  /** The last level lights up until the power-on level comes. */
  readonly showsLastLevelFirst: boolean;
  /** s without power after which the bus has failed. */
  readonly busFailure: number;
  /** Level that is gone to then, MASK nowhere, where `level` is set. */
  failureLevel(level: number): number;
  /** Level that is gone to when the bus has power again after it failed; MASK: nowhere. */
  readonly levelAtReturn: number;
  /** What comes back after a power loss, of the settings that were kept and those from the factory. */
  kept(registers: GearRegisters, factory: GearRegisters): GearRegisters;
}

/** IEC 62386-102; times from memory. */
export const healthyGear: GearTraits = {
  isUs(address, { shortAddress, groups }) {
    switch (address.to) {
      case 'short':
        return address.address === shortAddress;
      case 'group':
        return (groups & (1 << address.group)) !== 0;
      case 'broadcast':
        return true;
      case 'unaddressed':
        return shortAddress === mask;
    }
  },
  maskLevel: 'stops',
  takesFor: (code) => code,
  waitsForSecond: false,
  storedLevel: (actual) => actual,
  sequenceWait: 0.2,
  sequenceFade: 0.2,
  runTime: 0.2,
  fadeSeconds: (_, seconds) => seconds,
  sceneSeconds: (seconds) => seconds,
  recallSeconds: () => 0,
  fadeOver: ({ over }) => over,
  darkEnd: (min) => min,
  afterFadeToDark: () => 0,
  retimesFades: false,
  ignoresSameLevel: false,
  notesOtherLinks: true,
  limitsMoveLight: true,
  litLevel: (_, held) => held,
  limitError: (_, now) => now,
  told: (_, byte) => byte,
  powerOnWait: 0.6,
  powerOnLevel: (level) => level,
  showsLastLevelFirst: false,
  busFailure: 0.5,
  failureLevel: (level) => level,
  levelAtReturn: mask,
  kept: (registers) => registers,
};
