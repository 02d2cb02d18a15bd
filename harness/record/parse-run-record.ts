import { type RunRecord, recordFormat, recordVersion, runRecordSchema } from './run-record.ts';

export type ParsedRecord =
  | { readonly ok: true; readonly record: RunRecord }
  /** `newer`: written by a later version of Evenfall. `faults` say where and what, worst first. */
  | { readonly ok: false; readonly newer: boolean; readonly faults: readonly string[] };

/** More faults than this are one fault repeated. */
const faultsShown = 5;

/** A value as read from JSON, held against the schema of the run record. */
export function parseRunRecord(value: unknown): ParsedRecord {
  if (!isObject(value) || value['format'] !== recordFormat) {
    return bad(`expected "format": "${recordFormat}", found ${show(field(value, 'format'))}`);
  }
  const version = value['version'];
  if (typeof version === 'number' && version > recordVersion) {
    const fault = `version ${version} of the run record is newer than version ${recordVersion}, the newest this Evenfall reads; use the Evenfall that wrote it, or a later one`;
    return { ok: false, newer: true, faults: [fault] };
  }
  const parsed = runRecordSchema.safeParse(value);
  if (parsed.success) return { ok: true, record: parsed.data };
  const faults = parsed.error.issues
    .slice(0, faultsShown)
    .map((issue) => `${where(issue.path)}: ${issue.message}`);
  const more = parsed.error.issues.length - faults.length;
  if (more > 0) faults.push(`and ${more} more`);
  return { ok: false, newer: false, faults };
}

function bad(fault: string): ParsedRecord {
  return { ok: false, newer: false, faults: [fault] };
}

/** `specs[3].conditions[0].findings[2].verdict` */
function where(path: readonly PropertyKey[]): string {
  const text = path.reduce<string>(
    (before, part) =>
      typeof part === 'number' ? `${before}[${part}]` : `${before}${before && '.'}${String(part)}`,
    '',
  );
  return text || 'the record';
}

function isObject(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function field(value: unknown, name: string): unknown {
  return isObject(value) ? value[name] : value;
}

function show(value: unknown): string {
  return value === undefined ? 'nothing' : (JSON.stringify(value) ?? String(value)).slice(0, 60);
}
