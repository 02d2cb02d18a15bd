import type { LivePlant } from './live-plant.ts';

/** ms from step to step of the air. */
const step = 50;
/** Moves of the air that the lamp is told, K. */
const felt = 0.02;

/** Air in a chamber with one time constant. The lamp's air is that at the sensor, unless the door is open. */
export class ChamberAir {
  /** At the sensor, °C. */
  celsius: number;
  /** Where the air is going. */
  #target: number;
  /** Reached before the target: how a controller overshoots. */
  #first: number | null = null;
  #doorOpen = false;
  #told: number;
  readonly #room: number;
  readonly #live: LivePlant;
  readonly #timeConstant: number;
  readonly #timer: NodeJS.Timeout;

  constructor(live: LivePlant, room: number, timeConstant: number) {
    this.#live = live;
    this.#room = room;
    this.#timeConstant = timeConstant;
    this.celsius = room;
    this.#target = room;
    this.#told = room;
    this.#timer = setInterval(() => this.#step(), step).unref();
  }

  /** Goes to `celsius`, by way of `first` where that is given. */
  goTo(celsius: number, first: number | null = null): void {
    this.#target = celsius;
    this.#first = first;
  }

  goToRoom(): void {
    this.goTo(this.#room);
  }

  /** The lamp in it has power. */
  get lampOn(): boolean {
    return this.#live.on && this.#live.closed;
  }

  /** The lamp stands in the air of the room, of which the sensor knows nothing. */
  openDoor(): void {
    this.#doorOpen = true;
  }

  close(): void {
    clearInterval(this.#timer);
  }

  #step(): void {
    const goal = this.#first ?? this.#target;
    this.celsius += (goal - this.celsius) * (1 - Math.exp(-step / 1000 / this.#timeConstant));
    if (this.#first !== null && Math.abs(this.celsius - this.#first) < 1) this.#first = null;
    const atLamp = this.#doorOpen ? this.#room : this.celsius;
    if (Math.abs(atLamp - this.#told) < felt) return;
    this.#told = atLamp;
    void this.#live.setAmbient(atLamp);
  }
}
