import { join } from 'node:path';
import { faults } from '../../drivers/plant/faults/faults.ts';
import type { Io } from '../../harness/cli/common/io.ts';
import type { Verdict } from '../../harness/verdict/verdict.ts';
import { runUnit } from '../../harness/workflow/challenge/challenge-unit.ts';
import { type RunInputs, readRunInputs } from '../../harness/workflow/inputs/run-inputs.ts';
import { PlantLane } from '../../harness/workflow/lanes/plant-lane.ts';
import { specsFolder } from '../spec-language/shipped-lamp.ts';

const io: Io = {
  stdout: () => {},
  stderr: () => {},
  env: {},
  cwd: join(specsFolder, '..'),
  terminal: false,
  colour: false,
  columns: 100,
  interrupted: new AbortController().signal,
  exitCode: 0,
};

const inputs = new Map<string, RunInputs>();

function inputsFor(lamp: string): RunInputs {
  const known = inputs.get(lamp);
  if (known) return known;
  const file = lamp.endsWith('.yaml') ? lamp : `specs/lamps/${lamp}.lamp.yaml`;
  const read = readRunInputs({ paths: ['specs'], lamp: file, tags: [] }, io.cwd);
  inputs.set(lamp, read);
  return read;
}

/** A lamp, shipped or of a file, healthy or with a fault, before some claims of the library. */
export interface Trial {
  readonly lamp?: string;
  readonly fault: { readonly fault: string; readonly size: number } | null;
  /** By default the claims of the commit subset. */
  readonly specs?: readonly string[];
}

const lanes: PlantLane[] = [];

/** The verdicts by claim, of the simulated lamp with seed 1. */
export async function verdictsOf({
  lamp = 'alcove-6',
  fault,
  specs,
}: Trial): Promise<Record<string, Verdict>> {
  const read = inputsFor(lamp);
  const plans = read.plans.filter(({ spec, tags }) =>
    specs ? specs.includes(spec) : tags.includes('commit'),
  );
  const lane = lanes.pop() ?? new PlantLane();
  try {
    const result = await runUnit({ inputs: read, fault, seed: 1 }, plans, lane, io.interrupted);
    return Object.fromEntries(Object.entries(result).map(([spec, own]) => [spec, own.verdict]));
  } finally {
    lanes.push(lane);
  }
}

export async function closeLanes(): Promise<void> {
  for (const lane of lanes.splice(0)) await lane.close();
}

export function nominal(fault: string): { readonly fault: string; readonly size: number } {
  return { fault, size: known(fault).size.nominal };
}

export function smallest(fault: string): { readonly fault: string; readonly size: number } {
  return { fault, size: known(fault).sizes[0]! };
}

export function firstNamed(fault: string): string {
  return known(fault).caughtBy[0]!;
}

function known(id: string): (typeof faults)[number] {
  const fault = faults.find((each) => each.id === id);
  if (!fault) throw new Error(`no seeded fault ${id}`);
  return fault;
}
