import type { RunRecord } from '../../../record/run-record.ts';
import { traceOfRun } from '../../../record/traced.ts';
import { type Content, html } from '../../html/html.ts';
import { traceMatrix } from '../trace/trace-matrix.ts';
import { claimId } from './claim-line.ts';

/**
 * The requirements that a run's claims name, with what it says of each claim; `isLinked` where the claims are in the same page. A run knows no
 * requirement without a claim.
 */
export function runRequirements(record: RunRecord, isLinked: boolean): Content {
  const hrefOf = ({ spec }: { readonly spec: string }) =>
    isLinked ? `#${claimId({ spec })}` : null;
  return [
    html`<p>The requirements that the claims of this run name. evenfall trace holds all claims against a list of requirements.</p>`,
    traceMatrix(traceOfRun(record), { hrefOf, listed: 'the list of requirements' }),
  ];
}
