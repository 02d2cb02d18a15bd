import { BenchError } from '../../bench/errors.ts';
import type { OpenBench } from '../../bench/ports.ts';
import type { Rig } from '../../bench/rig.ts';
import { callToAsk } from '../../run/condition/stimulus.ts';
import type { LampWords } from './lamp-identity.ts';

/**
 * Asks the lamp, which has power, who it is, on every link on which it can answer. Throws BenchError `collision` where more
 * than one answers; a link on which it cannot say is told of.
 */
export async function askLamp(
  bench: Pick<OpenBench, 'instruments'>,
  rig: Rig,
  signal: AbortSignal,
): Promise<readonly LampWords[]> {
  const all: LampWords[] = [];
  for (const { name, identity: wanted } of rig.instruments) {
    const link = bench.instruments.get(name);
    if (link?.kind !== 'lamp-link' || !link.whoIsLamp) continue;
    const expected = wanted.model !== undefined;
    try {
      const identity = await link.whoIsLamp(callToAsk({ rig, signal }, name));
      all.push({ link: name, identity, trouble: null, expected });
    } catch (error) {
      if (!(error instanceof BenchError) || isDecisive(error)) throw error;
      all.push({ link: name, identity: null, trouble: error.kind, expected });
    }
  }
  return all;
}

function isDecisive({ kind }: BenchError): boolean {
  return kind === 'collision' || kind === 'cancelled' || kind === 'identity-mismatch';
}
