import type * as z from 'zod';
import type { SettingsSchema } from '../harness/bench/driver-settings.ts';
import type { Lamp } from '../harness/bench/lamp.ts';
import type { Instrument } from '../harness/bench/ports.ts';
import type { Rig, RigInstrument } from '../harness/bench/rig.ts';
import type { DriverClock } from './driver-clock.ts';
import type { SendListener } from './sent-log.ts';

/** What a driver is told beside its own part of the rig file. */
export interface DriverContext {
  readonly rig: Rig;
  readonly lamp: Lamp;
  /** The bench's clock: `started`, `start` and `at` of everything recorded are on it. */
  readonly clock: DriverClock;
  /** A link that tells it everything that it sends lets the lamp be held against its model. Absent where nobody asks. */
  readonly log?: SendListener;
  /** Folder of the rig file: paths in settings are relative to it. */
  readonly folder: string;
}

/**
 * Returns the instrument behind its port; it need not talk to it yet (the first call does). Rejects with BenchError
 * `unsupported` where the lamp, the wiring or a file that a setting names does not fit.
 */
export type OpenInstrument<Settings = unknown> = (
  instrument: RigInstrument<Settings>,
  context: DriverContext,
) => Instrument | Promise<Instrument>;

/** A driver, whatever its settings are. */
export interface Driver {
  /** As rig files name it. */
  readonly name: string;
  /** Parses the settings when the rig file is read. */
  readonly settings: SettingsSchema;
  readonly open: OpenInstrument;
}

/** A driver from its name, the schema of its settings, and a function that opens an instrument with those settings. */
export function defineDriver<Schema extends SettingsSchema>(driver: {
  readonly name: string;
  readonly settings: Schema;
  readonly open: OpenInstrument<z.output<Schema>>;
}): Driver {
  const { name, settings, open } = driver;
  /** Whoever read the rig file has parsed the settings of each instrument by the schema of the driver that it names. */
  const isOurs = (instrument: RigInstrument): instrument is RigInstrument<z.output<Schema>> =>
    instrument.driver === name;
  return {
    name,
    settings,
    open: (instrument, context) => {
      if (isOurs(instrument)) return open(instrument, context);
      throw new TypeError(`driver ${name} was handed an instrument of driver ${instrument.driver}`);
    },
  };
}
