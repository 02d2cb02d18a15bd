import type { RunRecord } from './run-record.ts';

/**
 * A merged run as the runs that it was made of: each with its own bench, lamp, operator, times and claims. One that was not merged is its
 * only part.
 */
export function partsOfRun(record: RunRecord): readonly RunRecord[] {
  const { shards, specs, lamp } = record;
  if (!shards) return [record];
  return shards.map(({ rig, lamp: own, startedAt, endedAt, safeState, operator, claims }) => {
    const { says: _, ...known } = lamp;
    const { operator: __, ...rest } = record;
    return {
      ...rest,
      ...{ rig, startedAt, endedAt, safeState, ...(operator !== undefined && { operator }) },
      lamp: { ...known, ...own },
      specs: specs.filter(({ spec }) => claims.includes(spec)),
    };
  });
}

/** The bench on which a condition was run. */
export function rigOf(record: RunRecord, condition: object): RunRecord['rig'] {
  if (!record.shards) return record.rig;
  const part = partsOfRun(record).find(({ specs }) =>
    specs.some(({ conditions }) => conditions.some((one) => one === condition)),
  );
  return (part ?? record).rig;
}
