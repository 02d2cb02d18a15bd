/** The highest 24 bit address means that none was drawn. */
export const noRandomAddress = 0xffffff;
/** Bytes of bank 1 that the maker of the luminaire may write: its trade number (6) and identification (8). */
export const oemBytes = 14;

/** What control gear keeps over a power loss. IEC 62386-102; factory values from memory. */
export interface GearRegisters {
  /** 0..63, or 255 for none. */
  shortAddress: number;
  /** Bit n: member of group n. */
  groups: number;
  max: number;
  min: number;
  powerOnLevel: number;
  systemFailureLevel: number;
  fadeTime: number;
  fadeRate: number;
  /** Coded base and multiplier. */
  extendedFadeTime: number;
  /** 16 levels; 255: not a member. */
  scenes: number[];
  /** Limits of the colour temperature, mirek. */
  coolest: number;
  warmest: number;
  /** 24 bit; 0xFFFFFF: none was drawn. */
  randomAddress: number;
  /** Bytes of memory bank 1 from location 3 on. */
  oem: number[];
}

/** Values of a new lamp, but for what its maker chose. */
export function factoryRegisters(lamp: {
  readonly shortAddress: number;
  readonly group?: number;
  readonly physicalMinimum: number;
  readonly coolest: number;
  readonly warmest: number;
  readonly powerOnLevel: number;
  readonly systemFailureLevel: number;
}): GearRegisters {
  return {
    shortAddress: lamp.shortAddress,
    groups: lamp.group === undefined ? 0 : 1 << lamp.group,
    max: 254,
    min: lamp.physicalMinimum,
    powerOnLevel: lamp.powerOnLevel,
    systemFailureLevel: lamp.systemFailureLevel,
    fadeTime: 0,
    fadeRate: 7,
    extendedFadeTime: 0,
    scenes: new Array<number>(16).fill(255),
    coolest: lamp.coolest,
    warmest: lamp.warmest,
    randomAddress: noRandomAddress,
    oem: new Array<number>(oemBytes).fill(0xff),
  };
}

/** Values after RESET (IEC 62386-102, table of variables, from memory). The short address and the luminaire maker's bytes stay. */
export function resetRegisters(before: GearRegisters, factory: GearRegisters): GearRegisters {
  const { shortAddress, oem } = before;
  const levels = { powerOnLevel: 254, systemFailureLevel: 254 };
  return { ...factory, ...levels, groups: 0, scenes: [...factory.scenes], shortAddress, oem };
}

/** Seconds of an extended fade time: (base + 1) x multiplier; multipliers from memory. */
export function extendedFadeSeconds(code: number): number {
  const multiplier = [0, 0.1, 1, 10, 60][(code >> 4) & 0x07] ?? 0;
  return ((code & 0x0f) + 1) * multiplier;
}
