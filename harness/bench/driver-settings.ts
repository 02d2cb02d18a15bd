import type * as z from 'zod';
import type { IssueList } from '../files/issue-list.ts';
import { valueAtPath } from '../files/schema-issues.ts';
import { instrumentSchema } from './rig-schema.ts';

/** The settings of one driver: one set of keys, or one for each `kind` of instrument. */
export type SettingsSchema = z.ZodObject | z.ZodDiscriminatedUnion<readonly z.ZodObject[]>;

/** By the name of the driver. This room knows no driver: whoever reads a rig file hands them in. */
export type DriverSettings = ReadonlyMap<string, SettingsSchema>;

const commonKeys = Object.keys(instrumentSchema.shape);

/**
 * The settings of every instrument, by its name: parsed by its driver's schema, or as they are written where the driver
 * is none of `drivers`. Instruments whose settings are wrong are left out, and what is wrong is added to `issues`.
 */
export function readSettings(
  drivers: DriverSettings,
  issues: IssueList,
): ReadonlyMap<string, unknown> {
  const settings = new Map<string, unknown>();
  // From the file as it is written: one instrument may be wrong in itself, and the others still be checked.
  const instruments = entriesOf(valueAtPath(issues.yaml.value, ['instruments']));
  for (const [name, instrument] of instruments) {
    const written = entriesOf(instrument).filter(([key]) => !commonKeys.includes(key));
    const own = Object.fromEntries(written);
    const schema = drivers.get(String(valueAtPath(instrument, ['driver'])));
    const parsed = schema ? issues.parse(schema, own, ['instruments', name], commonKeys) : own;
    if (parsed !== undefined) settings.set(name, parsed);
  }
  return settings;
}

function entriesOf(value: unknown): [string, unknown][] {
  return typeof value === 'object' && value !== null ? Object.entries(value) : [];
}
