import { BenchError } from '../../bench/errors.ts';
import type { OpenBench } from '../../bench/ports.ts';
import type { Rig } from '../../bench/rig.ts';
import { callToAsk } from '../condition/stimulus.ts';

/**
 * What the lamp says that its board has, °C, on the first link on which it says anything; null where it does not. A lamp that is
 * silent now is another one's trouble.
 */
export async function lampTemperature(
  { instruments }: Pick<OpenBench, 'instruments'>,
  rig: Rig,
  signal: AbortSignal,
): Promise<number | null> {
  for (const link of instruments.values()) {
    if (link.kind !== 'lamp-link' || !link.temperature) continue;
    try {
      const celsius = await link.temperature(callToAsk({ rig, signal }, link.name));
      if (celsius !== null) return celsius;
    } catch (error) {
      if (!(error instanceof BenchError) || error.kind === 'cancelled') throw error;
    }
  }
  return null;
}
