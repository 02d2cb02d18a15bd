import type { RunRecord, SpecRecord } from '../../../record/run-record.ts';
import { standsOpen } from '../../../verdict/verdict.ts';
import { type Content, type Html, html } from '../../html/html.ts';
import { toleranceRuler } from '../../pictures/tolerance-ruler.ts';
import { verdictLabel } from '../../pictures/verdict-shape.ts';
import { whyText } from '../../words/finding-words.ts';
import { counted } from '../../words/prose.ts';
import { quarantineText } from '../../words/quarantine-words.ts';
import {
  claimReason,
  claimsWorstFirst,
  findingsWorstFirst,
  type Placed,
} from '../../words/worst-first.ts';
import { findingWords } from '../run/claim-line.ts';
import { pictureOf } from '../run/worst-picture.ts';
import type { Signature } from './authorisation.ts';
import { reportFigure } from './report-figure.ts';

/** Exceptions drawn with pictures; a run with more is in a state that more pictures do not explain. */
const exceptionsDrawn = 12;
/** Findings of one claim; the results list them all. */
const findingsShown = 6;

/** Claims that do not hold, the worst first, each with who waived it and what was found. */
export function exceptions(record: RunRecord, signatures: readonly Signature[]): Content {
  const claims = claimsWorstFirst(record).filter(standsOpen);
  if (claims.length === 0) return html`<p>None: every claim that applies to this lamp holds.</p>`;
  return claims.map((spec, k) =>
    exception(spec, signatures, k < exceptionsDrawn ? `exception-${k}` : null),
  );
}

function exception(
  spec: SpecRecord,
  signatures: readonly Signature[],
  pictureId: string | null,
): Html {
  const { verdict, claim, file, traces } = spec;
  const held = quarantineText(spec);
  const bad = findingsWorstFirst(spec).filter(({ finding }) => finding.verdict !== 'pass');
  const drawn = bad.find(({ finding }) => finding.evidence.charts.length > 0);
  const chart = drawn && pictureOf(drawn);
  const more = bad.length - findingsShown;
  return html`
    <article class="exception">
      <h3>${verdictLabel(verdict)} ${claim}</h3>
      <p class="facts-line">${file}${traces.length > 0 && `, requirement ${traces.join(', ')}`}</p>
      ${held !== null && html`<p>${held}</p>`}
      ${waivers(spec, signatures)}
      ${bad.length === 0 && html`<p>${claimReason(spec) ?? 'No reason was recorded.'}</p>`}
      ${bad.slice(0, findingsShown).map(exceptionLine)}
      ${more > 0 && html`<p>and ${counted(more, 'more finding')} below.</p>`}
      ${chart && pictureId && reportFigure(chart, pictureId)}
    </article>`;
}

/** Who lets the claim pass, and why; one reason that several people give is said once. */
function waivers({ spec }: SpecRecord, signatures: readonly Signature[]): Html[] {
  const people = new Map<string, Set<string>>();
  for (const { name, waivers } of signatures)
    for (const { claim, reason } of waivers)
      if (claim === spec) people.set(reason, (people.get(reason) ?? new Set()).add(name));
  return [...people].map(
    ([reason, names]) =>
      html`<p class="waiver"><b>Waived by ${[...names].join(' and ')}: </b>${reason}</p>`,
  );
}

function exceptionLine(placed: Placed): Html {
  const why = whyText(placed.finding)?.replace(/\.$/, '');
  return html`
    <div class="exception-line">
      <p>${findingWords(placed)}${why ? `: ${why}.` : '.'}</p>
      ${toleranceRuler(placed.finding)}
    </div>`;
}
