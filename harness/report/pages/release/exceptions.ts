import type { RunRecord, SpecRecord } from '../../../record/run-record.ts';
import { type Content, element, type Markup } from '../../html/markup.ts';
import { chartPicture } from '../../pictures/chart-picture.ts';
import { chartToDraw } from '../../pictures/drawn-chart.ts';
import { chartsWithSteps } from '../../pictures/step-circles.ts';
import { toleranceRuler } from '../../pictures/tolerance-ruler.ts';
import { verdictLabel } from '../../pictures/verdict-shape.ts';
import { counted } from '../../text/summary.ts';
import { valueText } from '../../words/value-text.ts';
import {
  claimReason,
  claimsWorstFirst,
  findingsWorstFirst,
  type Placed,
  placeText,
  whyText,
} from '../../words/worst-first.ts';
import { unbroken } from '../run/claim-line.ts';
import type { Signature } from './signature.ts';

/** Exceptions drawn with pictures; a run with more is in a state that more pictures do not explain. */
const exceptionsDrawn = 12;

/** Claims that do not hold, the worst first, each with who waived it and what was found. */
export function exceptions(record: RunRecord, signatures: readonly Signature[]): Content {
  const claims = claimsWorstFirst(record).filter(({ verdict }) => verdict !== 'pass');
  if (claims.length === 0) return element('p', {}, 'None: every claim holds.');
  return claims.map((spec, k) =>
    exception(spec, waiverList(spec, signatures), k < exceptionsDrawn ? `exception-${k}` : null),
  );
}

/** Who lets the claim pass, and why; one reason that several people give is said once. */
function waiverList(
  { spec }: SpecRecord,
  signatures: readonly Signature[],
): readonly { readonly reason: string; readonly people: readonly string[] }[] {
  const people = new Map<string, string[]>();
  for (const { name, waivers } of signatures) {
    for (const { claim, reason } of waivers) {
      if (claim === spec) people.set(reason, [...(people.get(reason) ?? []), name]);
    }
  }
  return [...people].map(([reason, names]) => ({ reason, people: [...new Set(names)] }));
}

function exception(
  spec: SpecRecord,
  waivers: ReturnType<typeof waiverList>,
  pictureId: string | null,
): Markup {
  const bad = findingsWorstFirst(spec).filter(({ finding }) => finding.verdict !== 'pass');
  const chart = bad.flatMap(({ finding }) => chartsWithSteps(finding))[0];
  return element(
    'article',
    { class: 'exception' },
    element('h3', {}, verdictLabel(spec.verdict), ` ${spec.claim}`),
    element(
      'p',
      { class: 'facts-line' },
      `${spec.file}${spec.traces.length > 0 ? `, requirement ${spec.traces.join(', ')}` : ''}`,
    ),
    waivers.map(({ reason, people }) =>
      element(
        'p',
        { class: 'waiver' },
        element('b', {}, `Waived by ${people.join(' and ')}: `),
        reason,
      ),
    ),
    bad.length === 0 ? element('p', {}, claimReason(spec) ?? 'No reason was recorded.') : null,
    bad
      .slice(0, 6)
      .map((placed) =>
        element(
          'div',
          { class: 'exception-line' },
          element('p', {}, findingWords(placed)),
          toleranceRuler(placed.finding),
        ),
      ),
    bad.length > 6
      ? element('p', {}, `and ${counted(bad.length - 6, 'more finding')} below.`)
      : null,
    chart && pictureId
      ? element(
          'figure',
          { class: 'figure' },
          element('h5', {}, chart.title),
          chartPicture(chartToDraw(chart), { id: pictureId, width: 660, height: 230 }).markup,
        )
      : null,
  );
}

function findingWords(placed: Placed): Content {
  const { finding } = placed;
  const why = whyText(finding)?.replace(/\.$/, '');
  return [
    element('em', {}, placeText(placed)),
    `, ${finding.title} `,
    element('b', {}, unbroken(valueText(finding))),
    `, allowed ${unbroken(finding.limits.text)}`,
    why ? `: ${why}.` : '.',
  ];
}
