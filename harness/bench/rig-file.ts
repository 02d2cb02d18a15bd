import type { Issue } from '../files/issue.ts';
import { IssueList } from '../files/issue-list.ts';
import { knownKeys } from '../files/known-keys.ts';
import { readYaml } from '../files/read-yaml.ts';
import { schemaIssues } from '../files/schema-issues.ts';
import { goodParts } from '../files/schema-parts.ts';
import { checkRig } from './check-rig.ts';
import type { Rig, RigInstrument } from './rig.ts';
import { type RigFileShape, rigSchema } from './rig-schema.ts';
import { readWire } from './wire-file.ts';

export type ReadRig = { readonly rig: Rig } | { readonly issues: readonly Issue[] };

/** Wall-clock seconds that a call may take where the file says nothing: long for a reply, short for a person. */
const usualDeadline = 5;

/** Reads the text of a rig file; every issue at once. */
export function readRig(text: string, file: string): ReadRig {
  const { yaml, issues } = readYaml(text, file);
  if (!yaml) return { issues };
  const parsed = rigSchema.safeParse(yaml.value);
  const shape = parsed.success
    ? []
    : schemaIssues(yaml, parsed.error, (path) => knownKeys(rigSchema, path));
  const list = new IssueList(yaml, [...issues, ...shape]);
  const good = parsed.success ? parsed.data : goodParts(rigSchema, yaml.value);
  const wiring = (good.wiring ?? []).flatMap((wire, index) =>
    readWire(wire, ['wiring', index], list),
  );
  checkRig(good, list);
  return parsed.success && list.count === 0
    ? { rig: toRig(parsed.data, wiring) }
    : { issues: list.sorted() };
}

function toRig(shape: RigFileShape, wiring: Rig['wiring']): Rig {
  const { supply, decision, safe } = shape;
  return {
    rig: shape.rig,
    about: shape.about,
    place: shape.place,
    instruments: Object.entries(shape.instruments).map(toInstrument),
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

function toInstrument([name, shape]: [string, RigFileShape['instruments'][string]]): RigInstrument {
  const { driver, identity, calibration, deadline, retries, ...settings } = shape;
  return {
    name,
    driver,
    identity: defined(identity ?? {}),
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

function defined<T extends object>(value: T): { [K in keyof T]: Exclude<T[K], undefined> } {
  const entries = Object.entries(value).filter(([, own]) => own !== undefined);
  return Object.fromEntries(entries) as { [K in keyof T]: Exclude<T[K], undefined> };
}
