import { BenchError } from '../../bench/errors.ts';
import type { RawCapture } from '../../bench/ports.ts';
import type { Effect } from '../../plan/verbs/execution.ts';
import { figure } from '../figure.ts';
import { edgeAfter, pulseAfter } from './command-edges.ts';

/** An edge that was commanded, and where the record has it; s. */
interface Edge {
  readonly commanded: Effect;
  readonly seen: number;
}

/** Fewer edges say nothing: a lamp that is late for once would move them. */
const fewest = 4;
/** A time base is blamed for no less than this part … */
const least = 0.01;
/** … and for no less than so many standard uncertainties of what the edges tell. */
const certainty = 6;
/** A time base that is right to this part, at so many standard uncertainties, is proved. */
const proves = 0.03;
/** An edge is seen to no better than this, s. */
const finest = 2e-4;

/**
 * Holds a record's time against the commands that a lamp followed in it: by the edges of its sync pin, or of its light, which come as
 * long after one another as the commands did. A lamp's own latency is the same for each. True where that proves the time base, false
 * where too little is seen to tell. Throws BenchError `garbled` where the record's time runs otherwise.
 */
export function timeBaseHolds(
  { pin, light }: { readonly pin: RawCapture | null; readonly light: RawCapture | null },
  commands: readonly Effect[],
  instrument: string,
): boolean {
  const edges = [edgesIn(pin, commands, pulseAfter), edgesIn(light, commands, edgeAfter)].find(
    (found) => found.length >= fewest,
  );
  if (!edges) return false;
  const { slope, standard } = slopeOf(edges);
  const wrong = Math.abs(slope - 1);
  if (wrong > Math.max(least, certainty * standard))
    throw new BenchError(
      'garbled',
      instrument,
      `its time base is not what it says: commands that left this computer over ${figure(lengthOf(edges))} s show over ${figure(slope * lengthOf(edges))} s of its record, ${figure(100 * wrong)} % ${slope > 1 ? 'longer' : 'shorter'}; expected the same within ${figure(100 * Math.max(least, certainty * standard))} %. Look at the rate that it is set to and the one that it has, and at its reference clock`,
    );
  return certainty * standard <= proves;
}

function edgesIn(
  record: RawCapture | null,
  commands: readonly Effect[],
  find: typeof edgeAfter,
): Edge[] {
  if (!record) return [];
  return commands.flatMap((commanded) => {
    const seen = find(record, commanded.at);
    return seen === null ? [] : [{ commanded, seen }];
  });
}

/** Least squares; the standard uncertainty from the scatter, and from what is known of the commands. */
function slopeOf(edges: readonly Edge[]): { readonly slope: number; readonly standard: number } {
  const x = edges.map(({ commanded }) => commanded.at);
  const y = edges.map(({ seen }) => seen);
  const [meanX, meanY] = [meanOf(x), meanOf(y)];
  const squares = sumOf(x.map((value) => (value - meanX) ** 2));
  const slope = sumOf(x.map((value, k) => (value - meanX) * ((y[k] ?? 0) - meanY))) / squares;
  const residual = sumOf(x.map((value, k) => ((y[k] ?? 0) - meanY - slope * (value - meanX)) ** 2));
  const scatter = Math.sqrt(residual / (edges.length - 2));
  const known = Math.max(...edges.map(({ commanded }) => commanded.standard));
  return { slope, standard: Math.max(finest, scatter, known) / Math.sqrt(squares) };
}

function lengthOf(edges: readonly Edge[]): number {
  return (edges.at(-1)?.commanded.at ?? 0) - (edges[0]?.commanded.at ?? 0);
}

function sumOf(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0);
}

function meanOf(values: readonly number[]): number {
  return sumOf(values) / values.length;
}
