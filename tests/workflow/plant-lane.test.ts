import { afterEach, describe, expect, it } from 'vitest';
import { loadFirmware } from '../../drivers/plant/firmware/load-firmware.ts';
import type { Step } from '../../harness/plan/verbs/verbs.ts';
import type { ConditionTask } from '../../harness/run/engine/lane.ts';
import { PlantLane } from '../../harness/workflow/lanes/plant-lane.ts';
import { buildSource } from '../firmware/build-firmware.ts';
import { claim, lamp, rig } from '../firmware/judge.ts';

const lanes: PlantLane[] = [];

function opened(...args: ConstructorParameters<typeof PlantLane>): PlantLane {
  const lane = new PlantLane(...args);
  lanes.push(lane);
  return lane;
}

afterEach(async () => {
  for (const lane of lanes.splice(0)) await lane.close();
});

const { signal } = new AbortController();
const plan = claim('dimming/reaches-bottom');

/** The first condition of a claim of the library, with steps before its own. */
function task(repeat: number, before: readonly Step[] = []): ConditionTask {
  const [first] = plan.conditions;
  const condition = { ...first!, stimulus: [...before, ...first!.stimulus] };
  const seeds = { seed: 1, lampSeed: 1 };
  return { spec: plan.spec, condition, position: 1, repeat, lamp, rig, ...seeds, faults: [] };
}

describe('a lane of the simulated lamp', () => {
  it('answers what it is asked in turn', async () => {
    const lane = opened();
    const results = await Promise.all([0, 1].map((repeat) => lane.execute(task(repeat), signal)));
    const found = results.map(({ condition: { repeat, verdict } }) => ({ repeat, verdict }));
    expect(found).toEqual([
      { repeat: 0, verdict: 'pass' },
      { repeat: 1, verdict: 'pass' },
    ]);
  });

  it('ends firmware that spins, and goes on with what waits', async () => {
    const lane = opened(await loadFirmware(buildSource('sources/broken.c'), 'broken.wasm'));
    // Its console knows an endless loop by the letter l.
    const spins = task(0, [{ verb: 'send', message: { link: 'console', line: 'l' } }]);
    const [first, second] = await Promise.all([
      lane.execute(spins, signal),
      lane.execute(task(1), signal),
    ]);
    expect(first.condition.reason).toContain('did not come back within 1000 ms');
    expect(second.condition.repeat).toBe(1);
    // It trips over the first letter of its order instead.
    expect(second.condition.reason).toContain('divide by zero');
  });

  it.each([
    ['l', 'computes for ever'],
    ['f', 'calls the lamp for ever'],
  ])('ends a main loop that does not wait again: %s', async (letter) => {
    const lane = opened(await loadFirmware(buildSource('sources/main-loop.c'), 'loop.wasm'));
    const line = [{ verb: 'send', message: { link: 'console', line: letter } }] as const;
    const { condition } = await lane.execute(task(0, line), signal);
    expect(condition.verdict).toBe('fail');
    expect(condition.reason).toContain('did not come back within 1000 ms');
  });

  it('cancels what waits behind firmware that spins', async () => {
    const lane = opened(await loadFirmware(buildSource('sources/broken.c'), 'broken.wasm'));
    const stop = new AbortController();
    const spins = task(0, [{ verb: 'send', message: { link: 'console', line: 'l' } }]);
    // The worker is loaded, so that the next one spins at once.
    await lane.execute(task(2), signal);
    const first = lane.execute(spins, signal);
    const second = lane.execute(task(1), stop.signal);
    await new Promise((resolve) => setTimeout(resolve, 300));
    stop.abort('enough');
    expect((await first).condition.reason).toContain('did not come back within 1000 ms');
    expect((await second).condition.verdict).toBe('not run');
  });

  it('cancels what waits as well', async () => {
    const lane = opened();
    const stop = new AbortController();
    const both = [0, 1].map((repeat) => lane.execute(task(repeat), stop.signal));
    stop.abort('enough');
    const verdicts = (await Promise.all(both)).map(({ condition }) => condition.verdict);
    expect(verdicts).toEqual(['not run', 'not run']);
    // The lane is as good as new.
    const { condition } = await lane.execute(task(2), signal);
    expect(condition.verdict).toBe('pass');
  });

  it('answers nobody once it is closed', async () => {
    const lane = opened();
    const both = [0, 1].map((repeat) => lane.execute(task(repeat), signal));
    const ended = Promise.allSettled(both);
    await lane.close();
    expect((await ended).map(({ status }) => status)).toEqual(['rejected', 'rejected']);
  });
});

describe('a claim about the busy pin of firmware', () => {
  const load = claim('robustness/processor-load');
  const [condition] = load.conditions;
  const { processor: _, ...timeless } = lamp;

  it('is not run, and says why, where the lamp does not state how fast its processor is', async () => {
    const lane = opened(await loadFirmware(buildSource('sources/broken.c'), 'broken.wasm'));
    const on = { ...task(0), spec: load.spec, condition: condition!, lamp: timeless };
    const { verdict, reason } = (await lane.execute(on, signal)).condition;
    expect(verdict).toBe('not run');
    expect(reason).toContain(
      'the busy pin of broken.wasm says nothing: lamp alcove-6 does not state',
    );
  });

  it('is run with the reference firmware all the same, which takes time of its own', async () => {
    const lane = opened();
    const on = { ...task(0), spec: load.spec, condition: condition!, lamp: timeless };
    expect((await lane.execute(on, signal)).condition.verdict).toBe('pass');
  });
});
