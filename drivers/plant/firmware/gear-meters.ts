/** What the gear counts over its life; kept over a power loss. */
export interface GearCounts {
  /** s with power. */
  operating: number;
  /** s with light. */
  lit: number;
  /** J */
  energy: number;
  starts: number;
  lightStarts: number;
}

export const noCounts: GearCounts = { operating: 0, lit: 0, energy: 0, starts: 0, lightStarts: 0 };

/** What meters of the hardware say. */
export interface Metering {
  now(): number;
  /** J since some instant. */
  suppliedEnergy(): number;
}

/** Counts time, energy and starts of one gear from its start on. */
export class GearMeters {
  readonly #metering: Metering;
  readonly #kept: GearCounts;
  readonly #startedAt: number;
  readonly #energyAtStart: number;
  #lit = false;
  #watchedAt: number;

  /** `powerUp`: the gear was without power before, and has not only been restarted. */
  constructor(metering: Metering, kept: GearCounts, powerUp: boolean) {
    this.#metering = metering;
    this.#kept = { ...kept, starts: kept.starts + (powerUp ? 1 : 0) };
    this.#startedAt = metering.now();
    this.#watchedAt = this.#startedAt;
    this.#energyAtStart = metering.suppliedEnergy();
  }

  /** Looks whether there is light; what it was at the look before has lasted since. */
  watch(lit: boolean): void {
    this.#pass();
    if (lit && !this.#lit) this.#kept.lightStarts++;
    this.#lit = lit;
  }

  get counts(): GearCounts {
    this.#pass();
    const { operating, energy, ...rest } = this.#kept;
    return {
      ...rest,
      operating: operating + this.#metering.now() - this.#startedAt,
      energy: energy + this.#metering.suppliedEnergy() - this.#energyAtStart,
    };
  }

  #pass(): void {
    const now = this.#metering.now();
    if (this.#lit) this.#kept.lit += now - this.#watchedAt;
    this.#watchedAt = now;
  }
}
