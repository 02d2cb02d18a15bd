import { coarseKind } from './deviation.ts';
import type { FoundDeviation, TrySteps } from './search.ts';

/**
 * Whether another lamp deviates the same way after the same steps. Where that one has firmware of another hand, and no fault, model and
 * standard are read differently more likely than both are broken.
 */
export async function isShared(
  { kind, steps }: Pick<FoundDeviation, 'kind' | 'steps'>,
  other: TrySteps,
): Promise<boolean> {
  const deviation = (await other(steps))?.deviation;
  return deviation ? coarseKind(deviation) === kind : false;
}
