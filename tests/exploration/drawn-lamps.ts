/**
 * `npm run drawn-lamps [-- --lamps 1000 --sequences 30 --seed 1]`: searches lamps that are drawn at random with the healthy reference
 * firmware. No deviation is to be found; one that is comes with its lamp file.
 */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { renderDeviation } from '../../harness/cli/running/explored-text.ts';
import { Search } from '../../harness/explore/search.ts';
import { Complaint } from '../../harness/workflow/complaint.ts';
import { tryOn } from '../../harness/workflow/exploring/try-sequence.ts';
import { readRunBench } from '../../harness/workflow/inputs/run-inputs.ts';
import { drawLamps } from './drawn-lamp.ts';

const { values } = parseArgs({
  options: {
    lamps: { type: 'string', default: '1000' },
    sequences: { type: 'string', default: '30' },
    seed: { type: 'string', default: '1' },
  },
});
const seed = Number(values.seed);
const bases = ['alcove-6', 'alcove-1', 'alcove-pwm', 'alcove-9'].map((name) =>
  readFileSync(`specs/lamps/${name}.lamp.yaml`, 'utf8'),
);
const folder = mkdtempSync(join(tmpdir(), 'evenfall-drawn-'));
const began = performance.now();
let [searched, refused, sequences, deviations] = [0, 0, 0, 0];
// A long search that is stopped says how far it came.
process.once('SIGINT', () => {
  tell();
  process.exit(130);
});
for (const [index, text] of drawLamps(seed, Number(values.lamps), bases).entries()) {
  const file = join(folder, `drawn-${index}.lamp.yaml`);
  writeFileSync(file, text);
  const bench = read(file);
  if (bench) await searchLamp(bench, text, seed + index);
}
tell();
process.exitCode = deviations > 0 ? 1 : 0;

function tell(): void {
  rmSync(folder, { recursive: true });
  const seconds = (performance.now() - began) / 1000;
  process.stdout.write(
    `${searched} lamps searched, ${refused} refused, ${sequences} sequences in ${seconds.toFixed(0)} s, ${deviations} deviations\n`,
  );
}

type Bench = ReturnType<typeof readRunBench>;

async function searchLamp({ lamp, rig }: Bench, text: string, own: number): Promise<void> {
  const tried = { lamp, rig, lampSeed: 1, faults: [] };
  const search = new Search({ lamp, seed: own, corpus: [], shrinkTries: 200 }, tryOn(tried, own));
  while (search.count < Number(values.sequences)) {
    const found = await search.next();
    if (!found) continue;
    deviations++;
    const after = (performance.now() - began) / 1000;
    process.stdout.write(`${renderDeviation({ ...found, after, ofReference: false })}\n${text}\n`);
  }
  searched++;
  sequences += search.count;
}

/** Null for a lamp file that is refused in a sentence: that the draw makes one is no finding. */
function read(file: string): Bench | null {
  try {
    return readRunBench({ lamp: file }, process.cwd());
  } catch (error) {
    if (!(error instanceof Complaint)) throw error;
    if (refused++ < 3) process.stdout.write(`${error.message}\n`);
    return null;
  }
}
