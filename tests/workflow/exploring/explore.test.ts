import { describe, expect, it } from 'vitest';
import { findFault } from '../../../drivers/plant/faults/faults.ts';
import { loadCounted } from '../../../drivers/plant/firmware/edge-coverage.ts';
import type { Lamp } from '../../../harness/bench/lamp.ts';
import { Search } from '../../../harness/explore/search.ts';
import { type ExploreRequest, explore } from '../../../harness/workflow/exploring/explore.ts';
import type { TriedLamp } from '../../../harness/workflow/exploring/observe-sequence.ts';
import { tryOn } from '../../../harness/workflow/exploring/try-sequence.ts';
import { readRunInputs } from '../../../harness/workflow/inputs/run-inputs.ts';
import { buildAlcove, buildSource } from '../../firmware/build-firmware.ts';
import { sampled } from '../../sampled.ts';

const seed = 11;

function triedLamp(name: string, fault?: string): TriedLamp {
  const lampFile = `specs/lamps/${name}.lamp.yaml`;
  const { lamp, rig } = readRunInputs(
    { paths: ['specs'], lamp: lampFile, tags: [] },
    process.cwd(),
  );
  const known = fault === undefined ? undefined : findFault(fault);
  const faults = known ? [{ fault: known.id, size: known.size.nominal }] : [];
  return { lamp, rig, lampSeed: 1, faults };
}

/** What the first sequences of a search find. */
async function foundBy(tried: TriedLamp, sequences: number) {
  const options = { lamp: tried.lamp, seed, corpus: [], shrinkTries: 150 };
  const search = new Search(options, tryOn(tried, seed));
  while (search.count < sequences) {
    const found = await search.next();
    if (found) return found;
  }
  return null;
}

describe('a search on the simulated lamp', () => {
  it.each(sampled(['alcove-6', 'alcove-1', 'alcove-9', 'alcove-pwm'], 1))(
    'finds nothing on a healthy %s',
    async (name) => {
      expect(await foundBy(triedLamp(name), 80)).toBeNull();
    },
  );

  const seeded = [
    'linear-dimming',
    'fade-cut-short',
    'flashes',
    'last-command-loses',
    'send-twice-ignored',
    'wrong-loss-action',
  ];
  it.each(sampled(seeded, 2))(
    'finds %s, and shows it in a few steps',
    { timeout: 240_000 },
    async (fault) => {
      const found = await foundBy(triedLamp('alcove-6', fault), 600);
      expect(found).not.toBeNull();
      expect(found?.steps.length).toBeLessThanOrEqual(6);
    },
  );

  it('is the same for the same seed', async () => {
    const [one, other] = await Promise.all(
      [0, 1].map(() => foundBy(triedLamp('alcove-6', 'linear-dimming'), 50)),
    );
    expect(one).toEqual(other);
    expect(one).not.toBeNull();
  });
});

describe('a search on a build of firmware', () => {
  const built = async (bug?: string): Promise<TriedLamp> => {
    const tried = triedLamp('alcove-6');
    // The example is that lamp but for the memory banks of its luminaire, which it does not have.
    const { banks: _, luminaire: __, ...dali } = tried.lamp.links.dali ?? {};
    const lamp = { ...tried.lamp, links: { ...tried.lamp.links, dali } } as Lamp;
    return { ...tried, lamp, firmware: await loadCounted(buildAlcove(bug), 'alcove.wasm') };
  };

  it('finds nothing on the example, and is led by the edges that it reaches', async () => {
    const tried = await built();
    const options = { lamp: tried.lamp, seed, corpus: [], shrinkTries: 150 };
    const edges = new Set<string | number>();
    const carryOut = tryOn(tried, seed);
    const search = new Search(options, async (steps) => {
      const result = await carryOut(steps);
      for (const one of result?.reached ?? [])
        if (String(one).startsWith('edge')) edges.add(String(one).split(' ')[1] ?? '');
      return result;
    });
    const found = [];
    while (search.count < 60) found.push(await search.next());
    expect(found.filter((one) => one !== null)).toEqual([]);
    expect(edges.size).toBeGreaterThan(300);
  });

  it('finds a bug in its source', async () => {
    expect(await foundBy(await built('slow-tick'), 200)).not.toBeNull();
  });
});

describe('a search in threads', () => {
  const request = (change: Partial<ExploreRequest>): ExploreRequest => ({
    tried: triedLamp('alcove-6'),
    jobs: 1,
    seed,
    seconds: Number.POSITIVE_INFINITY,
    sequences: Number.POSITIVE_INFINITY,
    corpus: [],
    plans: [],
    first: false,
    signal: new AbortController().signal,
    onProgress: () => {},
    onDeviation: () => {},
    onClaim: () => {},
    ...change,
  });

  it('ends after as many sequences as were asked for, and keeps what reached something new', async () => {
    const result = await explore(request({ sequences: 10, jobs: 2 }));
    expect(result.sequences).toBeGreaterThanOrEqual(10);
    expect(result.corpus.length).toBeGreaterThan(0);
    expect(result.found).toEqual([]);
  });

  it('ends with the first finding where it should, in words of its own', async () => {
    const told: string[] = [];
    const tried = triedLamp('alcove-6', 'linear-dimming');
    const result = await explore(
      request({ tried, first: true, onDeviation: ({ kind }) => told.push(kind) }),
    );
    expect(told.length).toBeGreaterThan(0);
    expect(result.found.map(({ kind }) => kind)).toEqual(told);
  });

  it('ends a thread whose firmware hangs, says in what call, and shows it in a few steps', {
    timeout: 120_000,
  }, async () => {
    const firmware = await loadCounted(buildSource('sources/broken.c'), 'broken.wasm');
    const tried = { ...triedLamp('alcove-6'), firmware };
    const hangs = { send: { console: 'l' } };
    const corpus = [[{ hold: '20 ms' }, { hold: '1 s' }, hangs, { hold: '3 s' }]];
    const result = await explore(request({ tried, corpus }));
    expect(result.found).toMatchObject([
      { kind: 'breakdown: lamp_receive_console() hangs', steps: [hangs], first: corpus[0] },
    ]);
  });

  it('ends when it is interrupted', async () => {
    const result = await explore(request({ signal: AbortSignal.abort('SIGINT') }));
    expect(result.found).toEqual([]);
  });

  it('tries the claims between sequences', async () => {
    const inputs = readRunInputs(
      {
        paths: ['specs/flicker/no-effect.spec.yaml'],
        lamp: 'specs/lamps/alcove-6.lamp.yaml',
        tags: [],
      },
      process.cwd(),
    );
    const broken = triedLamp('alcove-6', 'slow-pwm');
    const result = await explore(
      request({ tried: broken, plans: inputs.plans, sequences: 200, first: true }),
    );
    expect(result.claims.length + result.found.length).toBeGreaterThan(0);
  });
});
