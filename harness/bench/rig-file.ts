import type { Issue } from '../files/issue.ts';
import { IssueList } from '../files/issue-list.ts';
import { readYaml } from '../files/read-yaml.ts';
import { goodParts } from '../files/schema-parts.ts';
import { checkRig } from './check-rig.ts';
import { type DriverSettings, readSettings } from './driver-settings.ts';
import type { Rig } from './rig.ts';
import { type RigFile, rigSchema } from './rig-schema.ts';
import { readWire } from './wire-file.ts';

export type ReadRig = { readonly rig: Rig } | { readonly issues: readonly Issue[] };

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
  { instruments, 'calibration-policy': calibrationPolicy, 'warm-up': warmUp, ...rest }: RigFile,
  wiring: Rig['wiring'],
  settings: ReadonlyMap<string, unknown>,
): Rig {
  return {
    ...rest,
    instruments: Object.entries(instruments).map(
      ([name, { driver, identity, calibration, deadline, retries, ...limits }]) => ({
        name,
        driver,
        identity,
        limits: {
          highestRate: limits['highest-rate'],
          longestRecord: limits['longest-record'],
          memory: limits.memory,
          oneRecord: limits['one-record'],
          acquisition: limits.acquisition,
        },
        settings: settings.get(name),
        ...(calibration && { calibration }),
        deadline,
        retries,
      }),
    ),
    wiring,
    calibrationPolicy,
    warmUp,
  };
}
