import { ScpiError } from './scpi/scpi-error.ts';
import { numberArg, type ScpiCommand } from './scpi/scpi-instrument.ts';

const longest = 3600;

/** The emulated supply's own watchdog: it acts when it has not been fed for as long as it was told. */
export class OutputWatchdog {
  readonly commands: readonly ScpiCommand[];
  readonly #act: () => void;
  #seconds = 0;
  #timer: NodeJS.Timeout | undefined;

  /** `header`: what its commands begin with, as manuals print it. */
  constructor(act: () => void, header = 'OUTPut:WATChdog') {
    this.#act = act;
    this.commands = [
      {
        header: `${header}[:TIME]`,
        set: (call) => this.#set(numberArg(call)),
        ask: () => this.#seconds.toFixed(3),
      },
      { header: `${header}:FEED`, set: () => this.#wind() },
    ];
  }

  /** Off, as after *RST. */
  stop(): void {
    this.#set(0);
  }

  #set(seconds: number): void {
    if (!(seconds >= 0 && seconds <= longest)) throw new ScpiError(-222, `${seconds}`);
    this.#seconds = seconds;
    this.#wind();
  }

  #wind(): void {
    clearTimeout(this.#timer);
    if (this.#seconds > 0)
      this.#timer = setTimeout(() => this.#act(), this.#seconds * 1000).unref();
  }
}
