import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { flickerMetrics } from './flicker-metrics.ts';
import type { Missing, Row } from './row.ts';
import { timed } from './row.ts';

const name = 'flicker: modulation, index, IEEE 1789, SVM and PstLM of 180 s at 20 kS/s';

/** The metrics beside a straightforward script of the same with numpy and scipy, on the same record. */
export async function flickerRow(runs: number): Promise<Row | Missing> {
  const folder = mkdtempSync(join(tmpdir(), 'evenfall-bench-'));
  try {
    const file = join(folder, 'light.f8');
    const script = join(import.meta.dirname, 'flicker.py');
    const python = spawnSync('/usr/bin/python3', [script, file], { encoding: 'utf8' });
    const times = /^runs: (.*) ms$/m.exec(python.stdout ?? '')?.[1];
    if (!times)
      return {
        name,
        missing: 'the yardstick needs numpy and scipy: apt-get install python3-scipy',
      };
    const bytes = readFileSync(file);
    const light = new Float64Array(bytes.buffer, bytes.byteOffset, bytes.byteLength / 8);
    const figures: number[] = [];
    for (let run = 0; run < runs; run++) {
      // A fresh copy each time: what is known of a record is kept with its memory.
      const samples = light.slice();
      figures.push(await timed(() => flickerMetrics(samples, 20e3)));
    }
    const beside = times.split(' ').map((ms) => Number(ms) / 1000);
    return { name, unit: 's', figures, yardstick: 'numpy/scipy', beside, kind: 'cost', goal: 0.5 };
  } finally {
    rmSync(folder, { recursive: true });
  }
}
