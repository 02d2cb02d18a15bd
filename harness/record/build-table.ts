import type { Ending } from '../verdict/verdict.ts';

/** A lamp whose results stand together. What its simulation does proves nothing about the real one, so that the two are kept apart. */
export interface TableLamp {
  readonly lamp: string;
  readonly simulated: boolean;
}

/** The results of the newest builds on every lamp, and the claims that do not hold now, with the build that broke them. */
export interface BuildTable {
  readonly lamps: readonly TableLamp[];
  /** By what one build is newer than another: by their versions, where all names are some, or by the first run of each. */
  readonly order: 'versions' | 'first runs';
  /** Newest first. */
  readonly builds: readonly TableBuild[];
  /** How many older ones are known and left out. */
  readonly older: number;
  /** Newest break first. */
  readonly broken: readonly BrokenClaim[];
}

export interface TableBuild {
  readonly build: string;
  /** ISO 8601, start of its first run. */
  readonly first: string;
  /** One for each lamp; null where the build had no run on it. */
  readonly cells: readonly (TableCell | null)[];
}

export interface TableCell {
  /** The newest run of a whole selection; null where claims were only run by name. */
  readonly newest: TableRun | null;
  /** How many runs there are of the build on the lamp. */
  readonly runs: number;
}

export interface TableRun {
  readonly id: string;
  readonly folder: string;
  /** ISO 8601 */
  readonly started: string;
  readonly rig: string;
  readonly verdict: Ending;
  /** Claims by their verdicts. */
  readonly claims: Readonly<Record<string, number>>;
}

/** A claim that does not hold on the newest build that decided it, and between which builds it broke. */
export interface BrokenClaim extends TableLamp {
  readonly spec: string;
  readonly now: ClaimOnBuild;
  /** The first build since the last good one on which it failed; may be that of `now`. */
  readonly firstBad: ClaimOnBuild;
  /** The last build on which it passed, and never failed; null where no build that was looked at is one. */
  readonly lastGood: ClaimOnBuild | null;
  /** Builds from one to the other that did not decide the claim. */
  readonly between: number;
  /** What else is not the same in the two runs. */
  readonly changed: readonly ('spec' | 'rig' | 'lamp')[];
  /** How many builds were looked at, from the newest on. */
  readonly lookedAt: number;
}

/** How a claim came out on a build, of the newest runs of that build. */
export interface ClaimOnBuild {
  readonly build: string;
  readonly passed: number;
  readonly failed: number;
  /** The newest run in which it came out as told: failed, or passed where it never failed. */
  readonly run: ClaimRun;
}

interface ClaimRun {
  readonly id: string;
  readonly folder: string;
  /** ISO 8601 */
  readonly started: string;
}

/** It passed in one run of the build and failed in another. */
export function cameOutBothWays({ passed, failed }: ClaimOnBuild): boolean {
  return passed > 0 && failed > 0;
}
