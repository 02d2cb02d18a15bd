/**
 * `npm run exploration-table [-- --seconds 60 --fault REGEXP --model]`: which seeded faults a search finds alone, how soon, and in
 * how few steps. `--model` leaves the claims out: sequences against the model of the lamp only.
 */
import { parseArgs } from 'node:util';
import type { Fault } from '../../drivers/plant/faults/fault.ts';
import { faults } from '../../drivers/plant/faults/faults.ts';
import { unmetNeed } from '../../harness/plan/unmet-need.ts';
import { type ExploreResult, explore } from '../../harness/workflow/exploring/explore.ts';
import { type RunInputs, readRunInputs } from '../../harness/workflow/inputs/run-inputs.ts';

const { values } = parseArgs({
  options: {
    seconds: { type: 'string', default: '60' },
    fault: { type: 'string', default: '' },
    jobs: { type: 'string', default: '2' },
    seed: { type: 'string', default: '1' },
    model: { type: 'boolean', default: false },
  },
});
const lampFiles = ['alcove-6', 'alcove-1', 'alcove-pwm', 'alcove-9'];
const inputs = lampFiles.map((name) =>
  readRunInputs(
    { paths: ['specs'], lamp: `specs/lamps/${name}.lamp.yaml`, tags: [] },
    process.cwd(),
  ),
);
const wanted = new RegExp(values.fault);
let [tried, found] = [0, 0];
process.stdout.write(
  '| fault | lamp | found by | after | steps | sequences |\n|---|---|---|---|---|---|\n',
);
for (const fault of faults) {
  if (!wanted.test(fault.id)) continue;
  const on = inputs.find(({ lamp }) => unmetNeed(fault.needs ?? {}, lamp) === null);
  if (!on) continue;
  const result = await search(fault, on);
  tried++;
  if (catches(result)) found++;
  process.stdout.write(row(fault, on, result));
}
process.stdout.write(`\n${found} of ${tried} found within ${values.seconds} s each.\n`);

function search(fault: Fault, { lamp, rig, plans }: RunInputs): Promise<ExploreResult> {
  return explore({
    tried: { lamp, rig, lampSeed: 1, faults: [{ fault: fault.id, size: fault.size.nominal }] },
    jobs: Number(values.jobs),
    seed: Number(values.seed),
    seconds: Number(values.seconds),
    sequences: Number.POSITIVE_INFINITY,
    corpus: [],
    plans: values.model ? [] : plans,
    first: true,
    signal: new AbortController().signal,
    onProgress: () => {},
    onDeviation: () => {},
    onClaim: () => {},
  });
}

/** What a lamp without the fault does as well is a mistake of the model or of the reference firmware, and no catch. */
function catches({ found: own, claims }: ExploreResult): boolean {
  return claims.length > 0 || own.some(({ ofReference }) => !ofReference);
}

function row(
  { id }: Fault,
  { lamp }: RunInputs,
  { found: own, claims, sequences }: ExploreResult,
): string {
  const deviation = own.find(({ ofReference }) => !ofReference);
  const [claim] = claims;
  const shared = own.length > 0 ? ' (besides deviations of healthy lamps)' : '';
  const kind = deviation?.kind;
  const by = kind ?? (claim ? `claim ${claim.spec}` : `**nothing**${shared}`);
  const after = deviation?.after ?? claim?.after;
  const time = after === undefined ? '' : `${after.toFixed(1)} s`;
  return `| ${id} | ${lamp.lamp} | ${by} | ${time} | ${deviation?.steps.length ?? ''} | ${sequences} |\n`;
}
