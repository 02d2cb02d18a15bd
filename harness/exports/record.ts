/**
 * `evenfall/record`: what a run is, as `run.json` in its folder says it. All figures are SI, all instants either ISO 8601 in UTC or
 * seconds on a condition's own time line. A change that an older reader could misread raises `recordVersion`.
 */
export type { ParsedRecord } from '../record/parse-run-record.ts';
export { parseRunRecord } from '../record/parse-run-record.ts';
export type {
  CaptureRecord,
  CommandRecord,
  ConditionRecord,
  Finding,
  InstrumentRecord,
  RunRecord,
  SpecRecord,
} from '../record/run-record.ts';
export { recordFormat, recordVersion, runRecordSchema } from '../record/run-record.ts';
export { readRunRecord } from './read-run-record.ts';
