import type { LampChannel } from '../../../harness/bench/lamp.ts';
import { nearestLevel } from '../../dali/levels.ts';
import { type WhitePair, whiteMix } from './colour-temperature.ts';
import { extendedFadeSeconds, type GearRegisters } from './gear-registers.ts';
import type { LightControl } from './light-control.ts';
import type { FirmwareTraits } from './traits.ts';

/** A colour before its activation: a temperature, or levels 0..1 by channel number, set as primaries or as red, green, blue, … */
interface Temporary {
  mirek?: number;
  primaries: Map<number, number>;
  rgbwaf?: true;
}

/** Everything that commands and queries of the DALI gear share. */
export class GearState {
  readonly light: LightControl;
  readonly traits: FirmwareTraits;
  readonly channels: readonly LampChannel[];
  readonly whites: WhitePair | null;
  /** Numbers of the channels that are red, green, blue, white, amber and free colour; fewer where it has fewer. */
  readonly colours: readonly number[];
  readonly physicalMinimum: number;
  readonly factory: GearRegisters;
  registers: GearRegisters;
  dtr0 = 0;
  dtr1 = 0;
  dtr2 = 0;
  limitError = false;
  powerCycle = true;
  /** Level last ordered over DALI; null once another link has set the light. */
  ordered: number | null = null;
  lastActive: number;
  /** Colour that waits for its activation. */
  temporary: Temporary = { primaries: new Map() };
  colour: 'none' | 'temperature' | 'primaries' | 'rgbwaf' = 'none';
  mirek: number;
  outOfRange = false;
  /** End of a DAPC sequence, s; null outside one. */
  sequenceUntil: number | null = null;

  constructor(
    parts: Pick<
      GearState,
      'light' | 'traits' | 'channels' | 'whites' | 'colours' | 'physicalMinimum' | 'factory'
    >,
  ) {
    this.light = parts.light;
    this.traits = parts.traits;
    this.channels = parts.channels;
    this.whites = parts.whites;
    this.colours = parts.colours;
    this.physicalMinimum = parts.physicalMinimum;
    this.factory = parts.factory;
    const { scenes, oem } = parts.factory;
    this.registers = { ...parts.factory, scenes: [...scenes], oem: [...oem] };
    this.lastActive = this.registers.max;
    this.mirek = this.registers.warmest;
  }

  /** The level 0..254 at this moment: the ordered one at rest, the nearest one on the way. */
  get actual(): number {
    if (this.ordered !== null && !this.light.moving) return this.ordered;
    return nearestLevel(this.light.level);
  }

  /** Seconds of the gear's fade. */
  get fadeSeconds(): number {
    const { fadeTime, extendedFadeTime } = this.registers;
    return fadeTime > 0
      ? this.traits.daliFadeTime(fadeTime)
      : extendedFadeSeconds(extendedFadeTime);
  }

  /** Goes to a level, clamped to MIN..MAX, with the colour that waits for it. 0 is off. */
  goTo(level: number, over: number): void {
    const { min, max } = this.registers;
    const wanted = level === 0 ? 0 : this.traits.daliClamp(level, min, max);
    this.limitError = wanted !== level;
    this.powerCycle = false;
    this.ordered = wanted;
    if (wanted > 0) this.lastActive = wanted;
    // The healthy curve is the codec's; a fault may bend the firmware's own.
    const light = wanted === 0 ? 0 : this.traits.daliLight(wanted);
    this.light.go({ level: light, intensities: this.#activated() }, over);
  }

  /** Starts the waiting colour at the present level. */
  activate(): void {
    const level = this.light.target.level;
    this.light.go({ level, intensities: this.#activated() }, this.fadeSeconds);
  }

  #activated(): readonly number[] {
    const { mirek, primaries, rgbwaf } = this.temporary;
    this.temporary = { primaries: new Map() };
    if (mirek !== undefined) return this.#white(this.traits.mirek(mirek));
    if (primaries.size === 0) return this.light.target.intensities;
    this.colour = rgbwaf ? 'rgbwaf' : 'primaries';
    return this.light.target.intensities.map((old, index) => primaries.get(index) ?? old);
  }

  #white(mirek: number): readonly number[] {
    if (!this.whites) return this.light.target.intensities;
    const { coolest, warmest } = this.registers;
    this.mirek = Math.min(warmest, Math.max(coolest, mirek));
    this.outOfRange = this.mirek !== mirek;
    this.colour = 'temperature';
    return whiteMix(this.channels, this.whites, this.mirek);
  }
}
