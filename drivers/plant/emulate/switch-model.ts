import type { LivePlant } from './live-plant.ts';
import { OutputWatchdog } from './output-watchdog.ts';
import type { ScpiCommand, ScpiModel } from './scpi/scpi-instrument.ts';
import type { Troubles } from './trouble.ts';

/** The command set of the relay between supply and lamp. It opens by itself when its watchdog is not fed. */
export class SwitchModel implements ScpiModel {
  readonly identity: string;
  readonly commands: readonly ScpiCommand[];
  readonly #name: string;
  readonly #live: LivePlant;
  readonly #troubles: Troubles;
  /** What it was told; its contacts may have welded. */
  #told = false;
  readonly #watchdog: OutputWatchdog;

  constructor(name: string, live: LivePlant, troubles: Troubles, identity: string) {
    this.identity = identity;
    this.#name = name;
    this.#live = live;
    this.#troubles = troubles;
    this.#watchdog = new OutputWatchdog(() => void this.#turn(false), 'ROUTe:WATChdog');
    this.commands = [
      { header: 'ROUTe:CLOSe', set: () => this.#turn(true) },
      { header: 'ROUTe:OPEN', set: () => this.#turn(false) },
      { header: 'ROUTe:STATe', ask: () => (this.#told ? 'CLOS' : 'OPEN') },
      { header: 'ROUTe:CONTact', ask: () => (this.#live.closed ? 'CLOS' : 'OPEN') },
      ...this.#watchdog.commands,
    ];
  }

  async reset(): Promise<void> {
    this.#watchdog.stop();
    await this.#turn(false);
  }

  async finished(): Promise<void> {}

  close(): void {
    this.#watchdog.stop();
  }

  async #turn(closed: boolean): Promise<void> {
    this.#told = closed;
    const stuck = closed ? ('contact-lost' as const) : ('welded' as const);
    if (this.#live.closed !== closed && this.#troubles.strike(this.#name, [stuck])) return;
    await this.#live.setContact(closed);
  }
}
