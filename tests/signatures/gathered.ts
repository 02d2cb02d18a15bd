import { appendFileSync, existsSync, readFileSync } from 'node:fs';

/** A lamp that a fault was seeded into, or a healthy one. */
export interface Trial {
  readonly fault: string | null;
  readonly size: number;
  readonly lamp: string;
  readonly seed: number;
}

/** What one claim said of it: the features that do not pass; none where it was not judged. */
export interface Gathered extends Trial {
  readonly spec: string;
  readonly judged: boolean;
  readonly features: readonly (readonly [name: string, strength: number])[];
}

export function trialName({ fault, size, lamp, seed }: Trial): string {
  return `${fault ?? 'healthy'}=${size} ${lamp} seed ${seed}`;
}

/** Results by trial and claim, kept in a file of JSON lines, so that a call that is cut off loses nothing. */
export class GatheredFile {
  readonly #path: string;
  readonly #byTrial = new Map<string, Map<string, Gathered>>();

  constructor(path: string) {
    this.#path = path;
    if (!existsSync(path)) return;
    for (const line of readFileSync(path, 'utf8').split('\n'))
      if (line !== '') this.#keep(JSON.parse(line) as Gathered);
  }

  of(trial: Trial): ReadonlyMap<string, Gathered> {
    return this.#byTrial.get(trialName(trial)) ?? new Map();
  }

  trials(): readonly Trial[] {
    return [...this.#byTrial.values()].flatMap((results) => [...results.values()].slice(0, 1));
  }

  add(results: readonly Gathered[]): void {
    for (const result of results) this.#keep(result);
    appendFileSync(this.#path, results.map((result) => `${JSON.stringify(result)}\n`).join(''));
  }

  #keep(result: Gathered): void {
    const name = trialName(result);
    const own = this.#byTrial.get(name) ?? new Map<string, Gathered>();
    this.#byTrial.set(name, own.set(result.spec, result));
  }
}
