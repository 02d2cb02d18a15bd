import { featuresOf } from '../../harness/diagnose/causes/features.ts';
import { recordUnit } from '../../harness/workflow/challenge/challenge-unit.ts';
import type { RunInputs } from '../../harness/workflow/inputs/run-inputs.ts';
import { PlantLane } from '../../harness/workflow/lanes/plant-lane.ts';
import { type GatheredFile, type Trial, trialName } from './gathered.ts';

/** Claims that are to be put to one lamp. */
export interface Errand {
  readonly trial: Trial;
  readonly inputs: RunInputs;
  readonly specs: ReadonlySet<string>;
}

interface Gathering {
  readonly file: GatheredFile;
  readonly jobs: number;
  /** When to begin no more, in milliseconds of `performance.now()`. */
  readonly until: number;
}

/** Goes through the errands in order; what the file knows is not run again. */
export async function gather(errands: readonly Errand[], gathering: Gathering): Promise<void> {
  const waiting = [...errands];
  const work = async (): Promise<void> => {
    const lane = new PlantLane();
    try {
      for (let errand = waiting.shift(); errand; errand = waiting.shift()) {
        if (performance.now() > gathering.until) return;
        await carryOut(errand, lane, gathering.file);
      }
    } finally {
      await lane.close();
    }
  };
  await Promise.all(Array.from({ length: gathering.jobs }, work));
}

async function carryOut(errand: Errand, lane: PlantLane, file: GatheredFile): Promise<void> {
  const { trial, inputs, specs } = errand;
  const known = file.of(trial);
  const plans = inputs.plans.filter(({ spec }) => specs.has(spec) && !known.has(spec));
  if (plans.length === 0) return;
  const began = performance.now();
  const { fault, size, seed } = trial;
  const unit = { inputs, seed, fault: fault === null ? null : { fault, size } };
  const record = await recordUnit(unit, plans, lane, new AbortController().signal);
  const features = featuresOf(record);
  file.add(
    plans.map(({ spec }) => ({
      ...trial,
      spec,
      judged: features.has(spec),
      features: [...(features.get(spec) ?? [])],
    })),
  );
  const failed = record.specs.filter(({ verdict }) => verdict === 'fail').map(({ spec }) => spec);
  const took = ((performance.now() - began) / 1000).toFixed(1);
  process.stderr.write(
    `${trialName(trial)}, ${plans.length} claims in ${took} s: ${failed.join(', ')}\n`,
  );
}
