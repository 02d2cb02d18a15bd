import { type PlantSettings, usualColourSensor } from '../../../drivers/plant/plant-driver.ts';
import type { Rig, RigInstrument } from '../../../harness/bench/rig.ts';
import type { Plan } from '../../../harness/plan/plan.ts';
import type { RunRecord } from '../../../harness/record/run-record.ts';
import { runSpecs } from '../../../harness/run/engine/engine.ts';
import type { Lane } from '../../../harness/run/engine/lane.ts';
import { draftRecord } from '../../../harness/workflow/running/draft-record.ts';
import { lamp } from '../conformance/shipped-bench.ts';

/** Runs plans on one lane by the real engine; `retries` after a bench error, as of `run --retries`. */
export function runPlans(
  plans: readonly Plan[],
  rig: Rig,
  lane: Lane,
  faults: readonly { readonly fault: string; readonly size: number }[] = [],
  retries = 0,
): Promise<RunRecord> {
  const file = { file: 'test', digest: '0'.repeat(64) };
  const draft = draftRecord({
    ...{ lamp, rig, plans, seed: 1, faults: [], tags: [], paths: [] },
    ...{ lampFile: file, rigFile: file, build: 'reference', serial: 'simulated', commit: null },
    firmware: { kind: 'reference', name: 'reference', digest: null },
    identities: new Map(),
    notes: {},
    startedAt: new Date().toISOString(),
  });
  return runSpecs({
    ...{ plans, lamp, rig, seed: 1, faults, draft, listeners: [], lanes: [lane] },
    ...{ retries, signal: new AbortController().signal },
    wall: { now: () => new Date().toISOString(), seconds: () => performance.now() / 1000 },
  });
}

/** The same rig with the plant's own instruments: same wiring, same figures. */
export function inProcess(rig: Rig): Rig {
  const links = Object.entries(rig.links);
  const settingsOf = ({ name }: RigInstrument): PlantSettings => {
    const link = links.find(([, carrier]) => carrier === name)?.[0];
    if (link) return { kind: 'lamp-link', link };
    if (rig.supply?.instrument === name) return { kind: 'supply' };
    const colour = rig.wiring.some((wire) => wire.instrument === name && wire.signal === 'colour');
    return colour ? usualColourSensor : { kind: 'digitiser' };
  };
  const instruments = rig.instruments.map((instrument) => ({
    ...instrument,
    driver: 'plant',
    settings: settingsOf(instrument),
  }));
  return { ...rig, instruments };
}
