import { appendFile } from 'node:fs/promises';
import { stringify } from 'yaml';
import { Complaint } from '../complaint.ts';

/** One calibration as the history keeps it: ISO/IEC 17025:2017, 7.8.4.1 and 6.4.13 (from memory). */
export interface CalibrationEntry {
  /** ISO 8601 UTC. */
  readonly at: string;
  readonly what: 'dark' | 'scale';
  readonly signal: string;
  readonly of: string;
  readonly instrument: string;
  readonly input: string;
  /** What the input read by the figures before, and by the new ones. */
  readonly 'as-found': Readonly<Record<string, string>>;
  readonly 'as-left': Readonly<Record<string, string>>;
  readonly reference?: Readonly<Record<string, string>>;
  readonly certificate?: string;
  readonly due?: string;
  readonly operator?: string;
  readonly environment?: string;
}

/** `bench.rig.yaml` has its history beside it in `bench.calibrations.yaml`: a list to which entries are only added. */
function historyFile(rigFile: string): string {
  return `${rigFile.replace(/(\.rig)?\.ya?ml$/, '')}.calibrations.yaml`;
}

/** Adds an entry. Throws a Complaint where it cannot be written: the rig file is to be changed only after it. */
export async function addToHistory(rigFile: string, entry: CalibrationEntry): Promise<string> {
  const file = historyFile(rigFile);
  try {
    await appendFile(file, stringify([entry], { lineWidth: 0 }));
    return file;
  } catch (error) {
    throw new Complaint(
      'cannot-create',
      `the history of calibrations cannot be written: ${(error as Error).message}; the rig file was not changed`,
      { cause: error },
    );
  }
}
