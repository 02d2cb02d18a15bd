import type { ProbeTrack } from '../harness/measure/observation.ts';

/** Stated in lamp-port.h. */
const mostProbes = 16;
const mostChanges = 10_000;
const longestUnit = 12;
const nameShape = /^[a-z0-9][a-z0-9-]{0,31}$/;

interface Track {
  readonly unit: string;
  readonly at: number[];
  readonly values: number[];
  until: number | null;
}

/** Keeps what the firmware's variables were, within bounds. */
export class ProbeKeeper {
  readonly #tracks = new Map<string, Track>();
  readonly #refused = new Set<string>();

  /** A variable has a value from an instant on, s. Why it was not kept, in a sentence, the first time; else null. */
  tell(at: number, name: string, unit: string, value: number): string | null {
    const track = this.#tracks.get(name);
    if (track?.unit === unit && Number.isFinite(value)) {
      keep(track, at, value);
      return null;
    }
    const problem = this.#problem(name, unit, value);
    if (problem === null) {
      this.#tracks.set(name, { unit, at: [at], values: [value], until: null });
      return null;
    }
    if (this.#refused.has(problem) || this.#refused.size >= mostProbes) return null;
    this.#refused.add(problem);
    return problem;
  }

  kept(): readonly ProbeTrack[] {
    return [...this.#tracks].map(([name, { unit, at, values, until }]) => {
      return { name, unit, at: [...at], values: [...values], until };
    });
  }

  #problem(name: string, unit: string, value: number): string | null {
    if (!nameShape.test(name))
      return `probe "${name.slice(0, 40)}" was not kept: expected a name of lower-case letters, digits and hyphens, 32 at most`;
    if (Buffer.byteLength(unit) > longestUnit)
      return `probe ${name} was not kept: expected a unit of ${longestUnit} bytes at most, found "${unit.slice(0, 40)}"`;
    if (!Number.isFinite(value)) return `a value of probe ${name} was not kept: it is no number`;
    const known = this.#tracks.get(name);
    if (known)
      return `a value of probe ${name} was not kept: its unit was "${known.unit}" before, and is "${unit}" now`;
    if (this.#tracks.size >= mostProbes)
      return `probe ${name} was not kept: a lamp has ${mostProbes} probes at most`;
    return null;
  }
}

function keep(track: Track, at: number, value: number): void {
  const last = track.at.length - 1;
  if (track.until !== null || track.values[last] === value) return;
  if (track.at[last] === at) track.values[last] = value;
  else if (track.at.length >= mostChanges) track.until = at;
  else {
    track.at.push(at);
    track.values.push(value);
  }
}
