import { spawnSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { availableParallelism, tmpdir } from 'node:os';
import { join } from 'node:path';
import { openPlantBench } from '../../drivers/plant/plant-bench.ts';
import type { RunRecord } from '../../harness/record/run-record.ts';
import { powerUp } from '../../harness/run/condition/power-up.ts';
import { inTurn, median, type Row, timed } from './row.ts';
import { root, shippedLamp, shippedRig } from './shipped.ts';

const nine = join(root, 'specs/lamps/alcove-9.lamp.yaml');

/** Seconds of one `evenfall` command. */
function evenfall(...words: string[]): Promise<number> {
  return commandTime(process.execPath, join(root, 'dist/main.js'), ...words);
}

/** The same with the whole process, all its threads, on one core. */
function onOneCore(...words: string[]): Promise<number> {
  return commandTime('taskset', '-c', '0', process.execPath, join(root, 'dist/main.js'), ...words);
}

async function commandTime(program: string, ...words: string[]): Promise<number> {
  return timed(() => {
    const { status, stderr, error } = spawnSync(program, words, { encoding: 'utf8' });
    if (status === null || status > 2)
      throw new Error(`${program} ${words.join(' ')}: ${error?.message ?? stderr}`);
  });
}

function inScratch<T>(work: (folder: string) => Promise<T>): Promise<T> {
  const folder = mkdtempSync(join(tmpdir(), 'evenfall-bench-'));
  return work(folder).finally(() => rmSync(folder, { recursive: true }));
}

/** Claims about hours and weeks without a record, which pass in no time: lamp time would say nothing of the speed. */
const resting = ['after-an-hour', 'after-weeks', 'recovers-after-heat'];

function busyClaims(): string[] {
  const specs = join(root, 'specs');
  return readdirSync(specs, { recursive: true, encoding: 'utf8' })
    .filter((file) => file.endsWith('.spec.yaml'))
    .filter((file) => !resting.some((claim) => file.endsWith(`${claim}.spec.yaml`)))
    .map((file) => join(specs, file));
}

/** The whole library on the nine-channel lamp, but for the claims that rest. */
function library(
  start: (...words: string[]) => Promise<number>,
  jobs: number,
): Promise<{ readonly took: number; readonly lampTime: number }> {
  return inScratch(async (folder) => {
    const words = ['run', ...busyClaims(), '--lamp', nine, '--out', folder, '--jobs', String(jobs)];
    const took = await start(...words);
    const [run = ''] = readdirSync(folder).filter((name) => name.startsWith('20'));
    const text = readFileSync(join(folder, run, 'run.json'), 'utf8');
    const { totals } = JSON.parse(text) as Pick<RunRecord, 'totals'>;
    return { took, lampTime: totals.lampTime };
  });
}

export async function libraryRows(runs: number): Promise<Row[]> {
  let lampTime = 0;
  const both = await inTurn(
    runs,
    async () => {
      const two = await library(evenfall, 2);
      lampTime = two.lampTime;
      return two.took;
    },
    async () => (await library(onOneCore, 1)).took,
  );
  return [
    {
      name: 'full library on the 9-channel lamp, two cores',
      unit: 's',
      figures: both.figures,
      yardstick: 'lamp time',
      beside: [lampTime],
      kind: 'speed',
      goal: 400,
      note: `this machine has ${availableParallelism()}`,
    },
    {
      name: 'the same on two cores and on one',
      unit: 's',
      ...both,
      yardstick: 'one core',
      kind: 'speed',
      goal: 1.8,
    },
  ];
}

export async function checkRow(runs: number): Promise<Row> {
  const specs = join(root, 'specs');
  const times = await inTurn(
    runs,
    () => evenfall('check', specs),
    () => timed(() => spawnSync(process.execPath, ['-e', '0'])),
  );
  const yardstick = 'node -e 0';
  return { name: 'evenfall check specs', unit: 's', ...times, yardstick, kind: 'cost', goal: 3 };
}

const many = 800;

/** Seconds that the simulated lamp takes to be powered and to answer one question over DALI: what no harness can save. */
async function simulationAlone(): Promise<number> {
  const [lamp, rig] = [shippedLamp('alcove-6'), shippedRig()];
  const { signal } = new AbortController();
  const took = await timed(async () => {
    for (let turn = 0; turn < many; turn++) {
      const bench = await openPlantBench({ lamp, rig, seed: turn, lampSeed: 1, faults: [] });
      await powerUp(bench, rig, lamp, signal);
      const dali = bench.instruments.get('dali');
      if (dali?.kind !== 'lamp-link') throw new Error('the shipped rig has a DALI link');
      // QUERY CONTROL GEAR PRESENT to all (IEC 62386-102, from memory).
      const query = { link: 'dali', frame: [0xff, 0x91], answer: true } as const;
      await dali.send(query, { signal, deadline: 60 });
      await bench.close();
    }
  });
  return took / many;
}

/** A claim that only asks the lamp over DALI, carried out many times and once: the difference is the cost of each. */
export async function conditionRow(runs: number): Promise<Row> {
  const alone: number[] = [];
  const spec = (repeat: number): string => `spec: asked
claim: The lamp says that it is there.
needs: { links: [dali] }
repeat: ${repeat}
stimulus:
  - send: { dali: query-gear-present, expect: 0xff }
capture: []
criteria: []
`;
  const cost = (): Promise<number> =>
    inScratch(async (folder) => {
      const file = join(folder, 'asked.spec.yaml');
      const took = async (repeat: number): Promise<number> => {
        writeFileSync(file, spec(repeat));
        return evenfall('run', file, '--out', join(folder, 'runs'), '--jobs', '1');
      };
      const one = await took(1);
      const whole = Math.max(0, (await took(many)) - one) / (many - 1);
      alone.push(await simulationAlone());
      return whole - alone.at(-1)!;
    });
  const times = await inTurn(runs, cost, () => 1e-3);
  return {
    name: 'a claim with no capture, per condition',
    unit: 's',
    ...times,
    yardstick: 'a millisecond',
    kind: 'cost',
    goal: 1,
    note: `of the harness, storing included; the simulation of the lamp and its DALI link takes ${(median(alone) * 1e3).toFixed(2)} ms beside`,
  };
}

/** 180 s of nine channels at 20 kS/s through the whole of the harness: the most memory it held, over the bytes stored. */
export async function memoryRow(runs: number): Promise<Row> {
  const spec = `spec: long
claim: Every channel holds its level for three minutes.
stimulus:
  - set: { level: 50 %, mix: all }
  - hold: 200 ms
  - mark: steady
  - hold: 180 s
capture:
  - { signal: channel-current, of: each-channel, rate: 20 kHz }
criteria:
  - { metric: level-drift, of: each-channel, during: steady, at-most: 5 % }
`;
  const peak = (): Promise<readonly [number, number]> =>
    inScratch(async (folder) => {
      const file = join(folder, 'long.spec.yaml');
      writeFileSync(file, spec);
      const out = join(folder, 'runs');
      const main = join(root, 'dist/main.js');
      const words = [main, 'run', file, '--lamp', nine, '--out', out, '--jobs', '1'];
      const time = spawnSync(
        '/usr/bin/python3',
        [
          '-c',
          'import resource, subprocess, sys; subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL); print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)',
          process.execPath,
          ...words,
        ],
        { encoding: 'utf8' },
      );
      const stored = readdirSync(out).find((name) => name.startsWith('20'))!;
      const record = JSON.parse(readFileSync(join(out, stored, 'run.json'), 'utf8')) as RunRecord;
      // As the digitiser gave them: 16 bits a sample.
      const bytes = record.specs
        .flatMap(({ conditions }) => conditions.flatMap(({ captures }) => captures))
        .reduce((sum, { samples }) => sum + 2 * samples, 0);
      return [(Number(time.stdout) * 1024) / 1e6, bytes / 1e6] as const;
    });
  const found: (readonly [number, number])[] = [];
  for (let run = 0; run < runs; run++) found.push(await peak());
  return {
    name: 'memory of a run of 180 s × 9 channels × 20 kS/s',
    unit: 'MB',
    figures: found.map(([most]) => most),
    yardstick: 'bytes of its captures, before they are packed',
    beside: found.map(([, bytes]) => bytes),
    kind: 'cost',
    goal: 3,
    note: 'resident memory of the whole process, Node itself included',
  };
}
