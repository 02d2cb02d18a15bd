import type { Issue } from '../files/issue.ts';
import { IssueList } from '../files/issue-list.ts';
import { readYaml } from '../files/read-yaml.ts';
import { goodParts } from '../files/schema-parts.ts';
import { checkRig } from './check-rig.ts';
import { type DriverSettings, readSettings } from './driver-settings.ts';
import type { Rig, RigInstrument } from './rig.ts';
import { type InstrumentShape, type RigFileShape, rigSchema } from './rig-schema.ts';
import { readWire } from './wire-file.ts';

export type ReadRig = { readonly rig: Rig } | { readonly issues: readonly Issue[] };

/** Wall-clock seconds that a call may take where the file says nothing: long for a reply, short for a person. */
const usualDeadline = 5;

/** Reads the text of a rig file, the settings of `drivers` too; every issue at once. */
export function readRig(text: string, file: string, drivers: DriverSettings): ReadRig {
  const { yaml, issues } = readYaml(text, file);
  if (!yaml) return { issues };
  const list = new IssueList(yaml, issues);
  const parsed = list.parse(rigSchema, yaml.value);
  const good = parsed ?? goodParts(rigSchema, yaml.value);
  const wiring = (good.wiring ?? []).flatMap((wire, index) =>
    readWire(wire, ['wiring', index], list),
  );
  const settings = readSettings(drivers, list);
  checkRig(good, list);
  return parsed && list.count === 0
    ? { rig: toRig(parsed, wiring, settings) }
    : { issues: list.sorted() };
}

function toRig(
  shape: RigFileShape,
  wiring: Rig['wiring'],
  settings: ReadonlyMap<string, unknown>,
): Rig {
  const { supply, decision, safe } = shape;
  return {
    rig: shape.rig,
    about: shape.about,
    place: shape.place,
    instruments: Object.entries(shape.instruments).map(([name, instrument]) =>
      toInstrument(name, instrument, settings.get(name)),
    ),
    wiring,
    links: shape.links,
    ...(supply && {
      supply: {
        instrument: supply.instrument,
        highestVolts: supply['highest-volts'],
        highestAmps: supply['highest-amps'],
      },
    }),
    safe,
    decision: {
      rule: decision?.rule ?? 'guarded',
      coverageFactor: decision?.['coverage-factor'] ?? 2,
    },
    calibrationPolicy: shape['calibration-policy'] ?? 'warn',
    warmUp: shape['warm-up'] ?? 0,
    ambient: shape.ambient ?? 25,
  };
}

function toInstrument(name: string, shape: InstrumentShape, settings: unknown): RigInstrument {
  const { driver, identity = {}, calibration, deadline, retries } = shape;
  return {
    name,
    driver,
    identity,
    limits: {
      highestRate: shape['highest-rate'],
      longestRecord: shape['longest-record'],
      memory: shape.memory,
      oneRecord: shape['one-record'],
      acquisition: shape.acquisition,
    },
    settings,
    ...(calibration && {
      calibration: {
        date: calibration.date,
        due: calibration.due,
        certificate: calibration.certificate,
        timeBase: calibration['time-base'] ?? 0,
      },
    }),
    deadline: deadline ?? usualDeadline,
    retries: retries ?? 1,
  };
}
