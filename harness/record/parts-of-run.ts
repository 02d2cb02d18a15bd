import { conditionId } from './ids.ts';
import type { RunRecord, SpecRecord } from './run-record.ts';

/**
 * A run as the parts that were measured on one bench each: the runs that it was merged from, and of each of them what an earlier bench
 * had measured. A part has its own bench, lamp, operator, times and conditions. A run of one bench is its only part.
 */
export function partsOfRun(record: RunRecord): readonly RunRecord[] {
  return shardsOf(record).flatMap(benchesOf);
}

function shardsOf(record: RunRecord): readonly RunRecord[] {
  const { shards, specs } = record;
  if (!shards) return [record];
  return shards.map(({ claims, earlier, ...own }) => {
    const part = withBench(record, own);
    return {
      ...part,
      specs: specs.filter(({ spec }) => claims.includes(spec)),
      ...(earlier && { earlier }),
    };
  });
}

/** What an earlier bench had measured, bench by bench, and the rest. */
function benchesOf(record: RunRecord): readonly RunRecord[] {
  const { earlier = [], ...rest } = record;
  if (earlier.length === 0) return [record];
  const bench = new Map(
    earlier.flatMap((one) =>
      one.conditions.map((condition) => [conditionId(condition.spec, condition), one] as const),
    ),
  );
  const measuredOn = (one: (typeof earlier)[number] | undefined): SpecRecord[] =>
    record.specs
      .map((spec) => ({
        ...spec,
        conditions: spec.conditions.filter(
          (condition) => bench.get(conditionId(spec.spec, condition)) === one,
        ),
      }))
      .filter(({ conditions }) => conditions.length > 0);
  const before = earlier.map((one) => ({
    ...withBench(rest, { ...one, endedAt: null, safeState: notKnown }),
    specs: measuredOn(one),
  }));
  return [...before, { ...rest, specs: measuredOn(undefined) }];
}

const notKnown: RunRecord['safeState'] = {
  confirmed: false,
  at: null,
  detail: 'not known: another bench took over',
};

type OfBench = Pick<RunRecord, 'rig' | 'startedAt' | 'endedAt' | 'safeState' | 'operator'> & {
  readonly lamp: Pick<RunRecord['lamp'], 'serial' | 'says'>;
};

function withBench(record: RunRecord, bench: OfBench): RunRecord {
  const { rig, startedAt, endedAt, safeState, operator, lamp } = bench;
  const { says: _, ...known } = record.lamp;
  const { operator: __, ...rest } = record;
  return {
    ...rest,
    ...{ rig, startedAt, endedAt, safeState, ...(operator !== undefined && { operator }) },
    lamp: { ...known, ...lamp },
  };
}

/** The bench on which a condition was run. */
export function rigOf(record: RunRecord, condition: object): RunRecord['rig'] {
  if (!record.shards && !record.earlier) return record.rig;
  const part = partsOfRun(record).find(({ specs }) =>
    specs.some(({ conditions }) => conditions.some((one) => one === condition)),
  );
  return (part ?? record).rig;
}
