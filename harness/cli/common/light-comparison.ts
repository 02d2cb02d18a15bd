import { readCapture, samplesOf } from '../../archive/capture-file.ts';
import {
  compareLight,
  type LightComparison,
  type RunToCompare,
} from '../../record/compare-light.ts';
import type { RunRecord } from '../../record/run-record.ts';

interface StoredSide {
  readonly folder: string;
  readonly record: Pick<RunRecord, 'specs'>;
}

/** Light and answers of two stored runs, from their captures. Throws an ArchiveError where one cannot be read. */
export function compareStoredLight(a: StoredSide, b: StoredSide): Promise<LightComparison> {
  return compareLight(sideOf(a), sideOf(b));
}

function sideOf({ folder, record }: StoredSide): RunToCompare {
  return {
    record,
    samples: async ({ file }) => samplesOf(await readCapture(folder, file)),
  };
}
