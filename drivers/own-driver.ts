import { createRequire } from 'node:module';
import { resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { BenchError } from '../harness/bench/errors.ts';
import type { RigInstrument } from '../harness/bench/rig.ts';
import { didYouMean } from '../harness/files/did-you-mean.ts';
import type { OpenInstrument } from './driver.ts';

/** Which driver an instrument names, and the folder of the rig file. */
export interface OwnDriver {
  readonly instrument: string;
  readonly driver: string;
  readonly folder: string;
}

/** What a module exports to be a driver: see docs/drivers.md. */
interface DriverModule {
  readonly open?: unknown;
  readonly default?: unknown;
  readonly settings?: unknown;
}

/** A schema of any library that keeps to Standard Schema 1.0, zod among them. */
interface StandardSchema {
  readonly '~standard': { validate(value: unknown): Validation | Promise<Validation> };
}

type Validation =
  | { readonly value: unknown; readonly issues?: undefined }
  | { readonly issues: readonly Misfit[] };

interface Misfit {
  readonly message: string;
  readonly path?: readonly (PropertyKey | { readonly key: PropertyKey })[] | undefined;
}

/**
 * A driver of the user's: a module (`./my-head.mjs`, relative to the rig file) or an npm package that can be found from
 * the rig file's folder. It exports `open(instrument, context)`, or that function as its default. Where it exports a
 * schema as `settings` too, the settings are parsed by it; without one `open` gets them as they are written.
 * Rejects with BenchError `unsupported` where there is no such module, or where it is no driver.
 */
export async function loadOwnDriver(
  own: OwnDriver,
  driverNames: readonly string[],
): Promise<OpenInstrument> {
  const { instrument, driver } = own;
  const module = await importModule(own, driverNames);
  const open = module.open ?? module.default;
  if (!isOpen(open))
    throw unsupported(
      instrument,
      `the driver ${driver} exports ${Object.keys(module).join(', ') || 'nothing'}; it must export a function "open", or one as its default`,
    );
  const { settings: schema } = module;
  if (schema === undefined) return open;
  if (!isSchema(schema))
    throw unsupported(
      instrument,
      `the driver ${driver} exports "settings" that is no schema; export a zod schema, or one of another library that keeps to Standard Schema`,
    );
  return async (entry, context) =>
    open({ ...entry, settings: await parsed(entry, schema) }, context);
}

async function importModule(
  { instrument, driver, folder }: OwnDriver,
  driverNames: readonly string[],
): Promise<DriverModule> {
  const place = /^\.{0,2}\//.test(driver) ? resolve(folder, driver) : packagePath(driver, folder);
  if (place === null) {
    const guess = didYouMean(driver, driverNames) || `; drivers: ${driverNames.join(', ')}`;
    const what = `there is no driver "${driver}", nor a package of that name${guess}`;
    throw unsupported(instrument, what);
  }
  try {
    return await import(pathToFileURL(place).href);
  } catch (error) {
    const [why] = (error instanceof Error ? error.message : String(error)).split('\n');
    throw unsupported(instrument, `the driver ${driver} cannot be loaded: ${why}`, error);
  }
}

/** Where Node would find the package from the rig file's folder; null where it would not. */
function packagePath(name: string, folder: string): string | null {
  try {
    return createRequire(resolve(folder, 'rig.yaml')).resolve(name);
  } catch {
    return null;
  }
}

async function parsed(
  { name, driver, settings }: RigInstrument,
  schema: StandardSchema,
): Promise<unknown> {
  const result = await schema['~standard'].validate(settings);
  if (!result.issues) return result.value;
  const told = result.issues.map(({ path = [], message }) => {
    const keys = path.map((step) => String(typeof step === 'object' ? step.key : step));
    return `${keys.join('.') || 'settings'}: ${message}`;
  });
  throw unsupported(name, `driver ${driver} refuses its settings: ${told.join('; ')}`);
}

function isOpen(value: unknown): value is OpenInstrument {
  return typeof value === 'function';
}

function isSchema(value: unknown): value is StandardSchema {
  return (
    ((typeof value === 'object' && value !== null) || typeof value === 'function') &&
    '~standard' in value
  );
}

function unsupported(instrument: string, why: string, cause?: unknown): BenchError {
  return new BenchError('unsupported', instrument, `${instrument}: ${why}`, { cause });
}
