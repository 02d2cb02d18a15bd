import type { ScpiSession } from './session.ts';

/** A clock of 1 %, and what a computer's own clock may lack: an integration that is shorter than this leaves is none, s. */
const clockPart = 0.01;
const slack = 2e-3;

/** One query, and the integration behind it. */
export interface Exchange {
  readonly asked: number;
  readonly answered: number;
  readonly integration: number;
  /** What the instrument does before it integrates, s. */
  readonly ranging: number;
  readonly good: boolean;
}

/**
 * The middle of the integration: anywhere between query and answer, less what the instrument does before. A good reading took its
 * time: else BenchError `stale`. An instrument that is saturated may break off.
 */
export function middleOf(
  { asked, answered, integration, ranging, good }: Exchange,
  session: ScpiSession,
): number {
  const spare = answered - asked - integration - ranging;
  if (good && spare < -slack - clockPart * integration)
    throw session.error(
      'stale',
      `it answered after ${(answered - asked).toFixed(3)} s; expected ${(integration + ranging).toFixed(3)} s at least, for a new reading; is it the reading before?`,
    );
  return asked + ranging + Math.max(0, spare) / 2 + integration / 2;
}
