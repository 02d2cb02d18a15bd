import type { LampChannel } from '../../../harness/bench/lamp.ts';
import { nearestLevel } from '../../dali/levels.ts';
import { type WhitePair, whiteMix } from './colour-temperature.ts';
import { extendedFadeSeconds, type GearRegisters } from './gear-registers.ts';
import type { LightControl, LightTarget } from './light-control.ts';
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
  /** Level last ordered over DALI, and how many orders the light had by then. */
  #ordered: { readonly level: number; readonly orders: number } | null = null;
  /** The last order over DALI was one to fade. */
  faded = false;
  lastActive: number;
  /** Direct arc power level that came last. */
  lastLevel: number | null = null;
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
    const { ordered } = this;
    if (ordered !== null && !this.light.moving) return ordered;
    return nearestLevel(this.light.level);
  }

  /** Level last ordered over DALI; null once another link has set the light. */
  get ordered(): number | null {
    const overruled = this.light.orders !== this.#ordered?.orders;
    return overruled && this.traits.gear.notesOtherLinks ? null : (this.#ordered?.level ?? null);
  }

  /** Seconds of the gear's fade. */
  get fadeSeconds(): number {
    const { fadeTime, extendedFadeTime } = this.registers;
    const seconds =
      fadeTime > 0 ? this.traits.daliFadeTime(fadeTime) : extendedFadeSeconds(extendedFadeTime);
    return this.traits.gear.fadeSeconds(this.registers, seconds);
  }

  /** Goes to a level, clamped to MIN..MAX, with the colour that waits for it, or with the one that there is. 0 is off. */
  goTo(level: number, over: number, colour: 'waiting' | 'present' = 'waiting'): void {
    const { min, max } = this.registers;
    const { gear } = this.traits;
    const wanted = level === 0 ? 0 : this.traits.daliClamp(level, min, max);
    this.limitError = gear.limitError(this.limitError, wanted !== level);
    this.powerCycle = false;
    const seconds = gear.fadeOver({ from: this.actual, to: wanted, over });
    if (wanted > 0) this.lastActive = wanted;
    const fadesOut = wanted === 0 && seconds > 0;
    const lit = fadesOut ? gear.afterFadeToDark(min) : gear.litLevel(level, wanted);
    const intensities = colour === 'waiting' ? this.#activated() : this.light.target.intensities;
    this.#go({ level: this.#lightOf(lit), intensities }, seconds);
    this.#ordered = { level: wanted, orders: this.light.orders };
  }

  /** Stops where it is. */
  hold(): void {
    this.light.hold();
    this.#ordered = null;
  }

  #go(target: LightTarget, over: number): void {
    this.faded = over > 0;
    const floor = this.#lightOf(this.traits.gear.darkEnd(this.registers.min));
    this.light.go(target, over, { floor });
  }

  /** The healthy curve is the codec's; a fault may bend the firmware's own. */
  #lightOf(level: number): number {
    return level === 0 ? 0 : this.traits.daliLight(level);
  }

  /** Starts the waiting colour at the present level, over `seconds`; without one nothing happens. */
  activate(seconds = this.fadeSeconds): void {
    const { mirek, primaries } = this.temporary;
    if (mirek === undefined && primaries.size === 0) return;
    const level = this.light.target.level;
    this.#go({ level, intensities: this.#activated() }, seconds);
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
