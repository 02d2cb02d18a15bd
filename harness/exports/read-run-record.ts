import { type ParsedRecord, parseRunRecord } from '../record/parse-run-record.ts';

/**
 * The run that a text of `run.json` holds: `ok: true` with its record, or `ok: false` with what is wrong and where. Never throws.
 * It looks at the text alone: whether a run's folder is sealed and signed, `evenfall verify` says.
 */
export function readRunRecord(text: string): ParsedRecord {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    return { ok: false, newer: false, faults: [`expected JSON, found something else: ${why}`] };
  }
  return parseRunRecord(value);
}
