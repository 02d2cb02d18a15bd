import type { Instrument } from '../../harness/bench/ports.ts';
import { chamberGuarantees, thermometerGuarantees } from './chamber-guarantees.ts';
import { commonGuarantees } from './common-guarantees.ts';
import { digitiserGuarantees } from './digitiser-guarantees.ts';
import { type Candidate, type Guarantee, type Kind, Unproven } from './guarantee.ts';
import { linkGuarantees } from './link-guarantees.ts';
import { readingGuarantees } from './reading-guarantees.ts';
import { spectrometerGuarantees } from './spectrometer-guarantees.ts';
import { supplyGuarantees } from './supply-guarantees.ts';
import { switchGuarantees } from './switch-guarantees.ts';

export type { Candidate, Kind } from './guarantee.ts';

/** How one promise was kept. */
export interface ConformanceResult {
  /** A sentence of what is promised. */
  readonly guarantee: string;
  readonly outcome: 'kept' | 'broken' | 'unproven';
  /** Why broken or unproven; empty where kept. */
  readonly detail: string;
}

/** Put together when asked for: a page that takes something else of the module must not carry them. */
function everyGuarantee(): readonly Guarantee[] {
  return [
    ...commonGuarantees,
    ...digitiserGuarantees,
    ...readingGuarantees,
    ...spectrometerGuarantees,
    ...supplyGuarantees,
    ...switchGuarantees,
    ...chamberGuarantees,
    ...thermometerGuarantees,
    ...linkGuarantees,
  ] as readonly Guarantee[];
}

/** The promises that an instrument of this kind has to keep. */
export function guaranteesFor(kind: Kind): readonly Guarantee[] {
  return everyGuarantee().filter(({ kinds }) => kinds.includes(kind));
}

/**
 * Holds one instrument against one promise; the instrument is opened for it and closed afterwards. Never rejects:
 * whatever else goes wrong breaks the promise.
 */
export async function holdTo(
  { guarantee, check }: Guarantee,
  candidate: Candidate,
): Promise<ConformanceResult> {
  let instrument: Instrument | null = null;
  try {
    instrument = await candidate.open();
    await check(instrument, candidate);
    return { guarantee, outcome: 'kept', detail: '' };
  } catch (error) {
    const detail = error instanceof Error ? error.message : String(error);
    return { guarantee, outcome: error instanceof Unproven ? 'unproven' : 'broken', detail };
  } finally {
    await instrument?.close().catch(() => {});
  }
}

/** Holds an instrument of this kind against all its promises, one after another. */
export async function* conformance(
  kind: Kind,
  candidate: Candidate,
): AsyncGenerator<ConformanceResult> {
  for (const guarantee of guaranteesFor(kind)) yield await holdTo(guarantee, candidate);
}
