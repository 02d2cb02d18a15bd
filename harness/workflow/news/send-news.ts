import { setTimeout } from 'node:timers/promises';
import { type DeliveryUse, deliver, isFor } from './deliver.ts';
import type { News } from './news.ts';
import type { Target } from './target.ts';
import { Undelivered } from './undelivered.ts';

/** Pauses before each further try, s. */
const pauses = [1, 4, 16] as const;

export interface SendingUse extends DeliveryUse {
  /** Waits, s; for tests. */
  readonly pause?: (seconds: number) => Promise<unknown>;
}

/**
 * Tells all targets that want to hear of it, at the same time, each up to three times more where that may help. Never throws:
 * returns a sentence for each target that was not reached.
 */
export async function sendNews(
  news: News,
  targets: readonly Target[],
  use: SendingUse,
): Promise<readonly string[]> {
  const wanted = targets.filter((target) => isFor(news, target));
  const failed = await Promise.all(wanted.map((target) => sendTo(target, news, use)));
  return failed.filter((text) => text !== null);
}

async function sendTo(target: Target, news: News, use: SendingUse): Promise<string | null> {
  const { pause = (seconds: number) => setTimeout(1000 * seconds) } = use;
  for (let tries = 1; ; tries++) {
    try {
      await deliver(news, target, use);
      return null;
    } catch (error) {
      const next = pauses[tries - 1];
      const mayHelp = error instanceof Undelivered && error.mayTryAgain && next !== undefined;
      if (mayHelp) await pause(next);
      else return failure(target, error, tries);
    }
  }
}

function failure({ target }: Target, error: unknown, tries: number): string {
  const why = error instanceof Error ? error.message : String(error);
  const often = tries === 1 ? '' : ` (${tries} tries)`;
  return `news for ${target} was not delivered${often}: ${why}`;
}
