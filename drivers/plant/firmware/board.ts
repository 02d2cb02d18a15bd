/** Why the processor runs from its beginning, as lamp-port.h numbers it. */
export const restartCauses = ['power', 'reset-pin', 'brown-out', 'watchdog', 'firmware'] as const;
export type RestartCause = (typeof restartCauses)[number];

/** What of the board watches over the processor and its time. */
export interface Board {
  /** Where `lamp_time_us()` stands at power-on, s. */
  readonly timerStart: number;
  restartCause(): RestartCause;
  /** The firmware restarts by itself. */
  restarts(): void;
  kickWatchdog(): void;
}

/** A board without any of it. */
export const plainBoard: Board = {
  timerStart: 0,
  restartCause: () => 'power',
  restarts: () => {},
  kickWatchdog: () => {},
};
