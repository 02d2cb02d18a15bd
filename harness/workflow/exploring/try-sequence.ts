import type { Deviation } from '../../explore/deviation.ts';
import { firstExcursion } from '../../explore/excursion.ts';
import { plannedSteps } from '../../explore/plain-reader.ts';
import { reachedEdges, reachedKinds } from '../../explore/reached-kinds.ts';
import type { Tried, TrySteps } from '../../explore/search.ts';
import { rest } from '../../explore/spec-text.ts';
import { firstWrongAnswer } from '../../explore/wrong-answer.ts';
import { type ModelStory, tellStory } from '../../model/model-lamp.ts';
import { restDeviation } from './look-at-rest.ts';
import { observeSequence, type SeenSequence, type TriedLamp } from './observe-sequence.ts';

/** Light of a channel that is of no account, 0..1: a tenth of the lowest level. */
const least = 1e-4;
/** Light may lie outside for less than this, s: a stretch that a flank cuts through lies anywhere. */
const shortest = 2e-3;

/** Wall clock that a sequence may take, ms: days of light that firmware never leaves alone are not waited for. */
const longestTry = 3000;

/** Carries out sequences on fresh lamps of one kind and holds each against the model. */
export function tryOn(tried: TriedLamp, seed: number): TrySteps {
  return async (steps) => {
    const planned = plannedSteps([...steps, { hold: rest }], tried.lamp);
    if (!planned) return null;
    const signal = AbortSignal.timeout(longestTry);
    const seen = await observeSequence(planned, tried, seed, signal);
    if (!seen || signal.aborted) return null;
    const story = tellStory(tried.lamp, seen.heard, seen.until);
    return heldAgainst(story, seen, tried);
  };
}

function heldAgainst(story: ModelStory, seen: SeenSequence, { lamp }: TriedLamp): Tried {
  const { heard, looks, step, brokeDown } = seen;
  const sum = (at: number): number => {
    const look = looks.findLast(({ from }) => from <= at);
    const index = look ? Math.floor((at - look.from) / step) : 0;
    return look?.currents.reduce((total, means) => total + (means[index] ?? 0), 0) ?? 0;
  };
  const reached = [...reachedKinds(heard, sum), ...reachedEdges(seen.edges)];
  const deviation = brokeDown
    ? { kind: 'breakdown' as const, reason: brokeDown }
    : (lightDeviation(story, seen, lamp) ??
      answerDeviation(story, seen) ??
      restDeviation(seen.plant, story, seen.until));
  return { deviation, reached };
}

function lightDeviation(
  story: ModelStory,
  { heard, looks, step }: SeenSequence,
  { channels, modulation }: TriedLamp['lamp'],
): Deviation | null {
  const code = 2 ** -modulation.bits;
  const pulse = modulation.kind === 'pulse-density' ? 1 / (modulation.clock * step) : 0;
  const strictness = { shortest, grain: Math.max(least, code + pulse) };
  for (const [index, { channel }] of channels.entries()) {
    for (const { from, currents } of looks) {
      const means = currents[index];
      if (!means) continue;
      const excursion = firstExcursion({ channel, from, step, means }, story, strictness);
      if (excursion) return { kind: 'light', excursion, lead: heard[excursion.lead] ?? null };
    }
  }
  return null;
}

function answerDeviation(story: ModelStory, { heard, said }: SeenSequence): Deviation | null {
  const answer = firstWrongAnswer(story.answers, heard, said);
  return answer && { kind: 'answer', answer, lead: heard[answer.of] ?? null };
}
