import { sleep } from '../../../drivers/real-clock.ts';
import { BenchError } from '../../bench/errors.ts';

/** An instrument that has gone is waited for, or is back. */
export type BenchWait =
  | {
      readonly wait: 'waiting';
      readonly instrument: string;
      readonly why: string;
      /** Waited so far, and waited at most, s. */
      readonly waited: number;
      readonly patience: number;
    }
  | { readonly wait: 'over'; readonly waited: number };

/** From try to try, s: doubled each time, up to the longest. */
const firstPause = 1;
const longestPause = 30;

/**
 * Opens a bench, again and again while one of its instruments is away, until `patience` seconds have passed. Rejects with
 * the last error then, at once with one that waiting does not mend, and soon after an abort.
 */
export async function waitForBench<Bench>(
  open: () => Promise<Bench>,
  {
    patience,
    signal,
    onWait,
  }: {
    readonly patience: number;
    readonly signal: AbortSignal;
    readonly onWait?: ((wait: BenchWait) => void) | undefined;
  },
): Promise<Bench> {
  const began = performance.now();
  const waited = (): number => (performance.now() - began) / 1000;
  for (let pause = firstPause, tries = 1; ; pause = Math.min(2 * pause, longestPause), tries++) {
    try {
      const bench = await open();
      if (tries > 1) onWait?.({ wait: 'over', waited: waited() });
      return bench;
    } catch (error) {
      const left = patience - waited();
      if (!isAway(error) || signal.aborted || left <= 0) throw error;
      const { instrument, message } = error;
      onWait?.({ wait: 'waiting', instrument, why: message, waited: waited(), patience });
      await sleep(Math.min(pause, left), signal);
    }
  }
}

/** An instrument does not answer, or not in words: a cable, a restart or a network may mend it. */
export function isAway(error: unknown): error is BenchError {
  return error instanceof BenchError && ['timeout', 'closed', 'garbled'].includes(error.kind);
}

/** Why the run is given up, in a sentence. */
export function goneText(error: BenchError, patience: number): string {
  return `${error.instrument} did not come back within ${Math.round(patience)} s (${error.message}); mend it, then resume the run`;
}
