import type { Lamp } from '../harness/bench/lamp.ts';
import type { Clock, Instrument } from '../harness/bench/ports.ts';
import type { Rig, RigInstrument } from '../harness/bench/rig.ts';

/** What a driver is told beside its own part of the rig file. */
export interface DriverContext {
  readonly rig: Rig;
  readonly lamp: Lamp;
  /** The bench's clock: `started`, `start` and `at` of everything recorded are on it. */
  readonly clock: Clock;
  /** Folder of the rig file: paths in settings are relative to it. */
  readonly folder: string;
}

/**
 * A driver: one function. It checks `instrument.settings` and returns the instrument behind its port; it need not talk
 * to it yet (the first call does). Rejects with BenchError `unsupported` where a setting is wrong. A module of your own
 * exports it as `open` or as its default.
 */
export type OpenInstrument = (
  instrument: RigInstrument,
  context: DriverContext,
) => Instrument | Promise<Instrument>;
