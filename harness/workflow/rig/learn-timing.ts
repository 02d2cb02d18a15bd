import type { Lamp } from '../../bench/lamp.ts';
import type { LinkTiming, Rig, Wire } from '../../bench/rig.ts';
import type { Plan } from '../../plan/plan.ts';
import type { ConditionResult, Lane } from '../../run/engine/lane.ts';
import { edgeAfter, pulseAfter } from '../../run/take/command-edges.ts';
import { readSpec } from '../../spec-language/spec-file.ts';
import { Complaint } from '../complaint.ts';

export interface TimingTask {
  readonly links: readonly string[];
  /** So many commands for each link, rounded up to whole records. */
  readonly edges: number;
  /** Known latency of the lamp, s: what of the light's lateness is its own. */
  readonly latency: number;
  /** YYYY-MM-DD */
  readonly date: string;
}

/** Commands of one record. */
const perRecord = 10;
/** S/s */
const usualRate = 20_000;
/** The best that an edge is told to, s. */
const finest = 5e-5;

/** The inputs that show a command. Throws a Complaint where there is none for the light. */
export function seenBy({ wiring, rig }: Pick<Rig, 'wiring' | 'rig'>): {
  readonly light: Wire;
  readonly sync: Wire | undefined;
} {
  const light = wiring.find(({ signal, of }) => signal === 'light' && of === 'all');
  if (!light)
    throw new Complaint(
      'usage',
      `rig ${rig} does not record the light of the lamp; wire it to find out when commands take effect`,
    );
  const sync = wiring.find(
    ({ signal, instrument }) => signal === 'sync' && instrument === light.instrument,
  );
  return { light, sync };
}

/** What the timing of a link is: see `calibrateTiming`. The rig has no timing of its own. */
export async function learnTiming(
  link: string,
  bench: { readonly lamp: Lamp; readonly rig: Rig },
  task: Omit<TimingTask, 'links'>,
  lane: Pick<Lane, 'execute'>,
  signal: AbortSignal,
): Promise<LinkTiming> {
  const { lamp, rig } = bench;
  const { light, sync } = seenBy(rig);
  const [condition] = edgesPlan(link, sync !== undefined, bench).conditions;
  if (!condition) throw new Error('the stimulus of the timing has no condition');
  const results: ConditionResult[] = [];
  for (let turn = 0; turn * perRecord < task.edges; turn++) {
    const own = { spec: 'timing', condition, position: turn + 1, repeat: turn, lamp, rig };
    const result = await lane.execute({ ...own, seed: turn, lampSeed: 1, faults: [] }, signal);
    if (result.condition.captures.length === 0)
      throw new Complaint('unreachable', result.condition.reason ?? 'nothing was recorded');
    results.push(result);
  }
  const by = (signalName: 'sync' | 'light') =>
    results.map((result) => edgesOf(result, link, signalName));
  const pulses = by('sync');
  // A lamp may mark the commands of some links alone.
  const seen = isSeen(pulses) ? 'sync' : 'light';
  const found = seen === 'sync' ? statistics(pulses, 0) : statistics(by('light'), task.latency);
  return { link, digitiser: light.instrument, seen, ...found, date: task.date };
}

/** Nearly every command shows. */
function isSeen(records: readonly (readonly Seen[])[]): boolean {
  return records.flat().length >= 0.9 * records.length * perRecord;
}

/** Seconds between the jumps: never more than three flashes in a second (a full cycle is two of them), and none in step with the polling of an instrument. */
const holds = [0.437, 0.503, 0.471, 0.529, 0.449, 0.517, 0.461, 0.541, 0.483, 0.493];

function edgesPlan(
  link: string,
  sync: boolean,
  { lamp, rig }: { readonly lamp: Lamp; readonly rig: Rig },
): Plan {
  const limits = rig.instruments.flatMap((one) => one.limits.highestRate ?? []);
  const rate = Math.min(usualRate, ...limits);
  const jumps = holds.map((hold, k) => {
    const level = k % 2 === 0 ? '20 %' : '100 %';
    return `  - set: { level: ${level}, link: ${link} }\n  - hold: ${hold} s`;
  });
  const text = `spec: timing
claim: Commands show in the records.
stimulus:
  - set: { level: 100 %, mix: all, link: ${link} }
  - hold: 600 ms
  - mark: jumps
${jumps.join('\n')}
capture:
  - { signal: light, rate: ${rate} Hz }
${sync ? `  - { signal: sync, rate: ${rate} Hz }` : ''}
criteria:
  - { metric: modulation, of: light, during: jumps, at-most: 100 % }
`;
  const read = readSpec(text, { file: 'timing', folder: 'timing', digest: '0'.repeat(64), lamp });
  if ('plan' in read) return read.plan;
  const why = read.issues.map(({ message }) => message).join('; ');
  throw new Complaint('usage', `link ${link} cannot make the light jump: ${why}`);
}

interface Seen {
  readonly late: number;
  readonly exchange: number;
}

function edgesOf(
  { condition, captures }: ConditionResult,
  link: string,
  signal: 'sync' | 'light',
): Seen[] {
  const { id } = condition.captures.find((one) => one.signal === signal) ?? {};
  const record = id === undefined ? undefined : captures.get(id);
  if (!record) return [];
  const jumps = condition.commands.filter(({ verb, link: own }) => verb === 'set' && own === link);
  const edge = signal === 'sync' ? pulseAfter : edgeAfter;
  return jumps.slice(1).flatMap(({ at, left, confirmed, lasted = 0 }) => {
    const seen = edge(record, at);
    if (seen === null) return [];
    const exchange = left !== undefined && confirmed !== undefined ? confirmed - left : lasted;
    return [{ late: seen - at, exchange }];
  });
}

function statistics(
  records: readonly (readonly Seen[])[],
  latency: number,
): Pick<LinkTiming, 'delay' | 'scatter' | 'exchange' | 'edges'> {
  const all = records.flat();
  if (!isSeen(records))
    throw new Complaint(
      'unreachable',
      `only ${all.length} of ${records.length * perRecord} commands show in the records; does the lamp follow this link at once, and is its light seen?`,
    );
  const delay = mean(all.map(({ late }) => late));
  const single = deviation(all.map(({ late }) => late));
  // Commands of one record share the error of its start.
  const means = records.map((own) => mean(own.map(({ late }) => late)));
  const ofMean = records.length > 1 ? deviation(means) / Math.sqrt(records.length) : 0;
  return {
    delay: delay - latency,
    scatter: Math.max(finest, Math.hypot(single, ofMean)),
    exchange: mean(all.map(({ exchange }) => exchange)),
    edges: all.length,
  };
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

function deviation(values: readonly number[]): number {
  const middle = mean(values);
  const square = values.reduce((sum, value) => sum + (value - middle) ** 2, 0);
  return Math.sqrt(square / (values.length - 1));
}
