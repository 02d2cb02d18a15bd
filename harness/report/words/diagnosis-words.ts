import type { LikelyCause } from '../../diagnose/causes/likely-causes.ts';
import type { Diagnosis } from '../../diagnose/diagnose.ts';
import type { Explanation } from '../../diagnose/explain.ts';
import type { Law } from '../../diagnose/law.ts';
import type { Scoped } from '../../diagnose/scope.ts';
import type { Transfer } from '../../diagnose/transfer.ts';
import { plainLine } from '../../files/plain-text.ts';
import { formatNumber } from '../../units/format-quantity.ts';
import { findingFigures } from './finding-words.ts';
import { capital, counted } from './prose.ts';
import { autoText, figureText } from './value-text.ts';

/** `72 findings fail; what they have in common makes 2 rows:` */
export function diagnosisHeading({ failing, explanations }: Diagnosis): string {
  if (failing === 1) return 'One finding fails:';
  return `${counted(failing, 'finding')} fail; what they have in common makes ${counted(explanations.length, 'row')}:`;
}

/** What an explanation says, in one sentence with its figures and without a full stop. */
export function explanationText(explanation: Explanation): string {
  const { scope, law, findings } = explanation;
  const [only] = findings;
  if (only && findings.length === 1) return capital(findingFigures(only));
  const what = law ? lawText(law, explanation) : metricsText(explanation);
  const where = scope ? `, ${scopeText(scope)}` : claimsText(explanation);
  return capital(
    `${what}${where}${law || scope ? '' : elsewhereText(explanation)}${trapText(explanation)}${followsText(explanation)}${loggedText(explanation)}`,
  );
}

/** What firmware that broke down in several conditions did in most of them. */
function trapText({ trap }: Explanation): string {
  if (!trap) return '';
  const { what, alike, all } = trap;
  return `. ${alike === all ? 'Each time' : `${alike} of ${all} times`}: ${plainLine(what)}`;
}

/** Only where these conditions say it is it told. */
function loggedText({ logged }: Explanation): string {
  return logged === null
    ? ''
    : `. Its firmware logged "${plainLine(logged)}" in each of these conditions, and in none that passes`;
}

function claimsText({ claims }: Explanation): string {
  if (!claims) return '';
  return `, in ${claims.length <= 2 ? claims.join(' and ') : counted(claims.length, 'claim')}`;
}

/** What else fails where the law shows, and needs no cause of its own. */
function followsText({ follows }: Explanation): string {
  return follows.length === 0 ? '' : `. What may follow from it: ${listText(follows)}`;
}

/** Over causes that fit; they come from the simulated lamp, and a lamp may have a fault that none of them is. */
export const causesHeading = 'Failures like these come from:';

/** `97 % fit, breaks the claims of 18 of these findings: A fade has too few steps`, and what one would see of it. */
export function causeTexts({
  title,
  about,
  alike,
  fit,
  explains,
}: LikelyCause): readonly [string, string] {
  const others = alike.length > 0 ? ` No claim tells it from: ${alike.join('; ')}.` : '';
  return [
    `${formatNumber(100 * fit, 2)} % fit, breaks the claims of ${explains} of these findings: ${title}`,
    `${about}${others}`,
  ];
}

function lawText(law: Law, explanation: Explanation): string {
  const title = explanation.metrics[0]?.title ?? 'The figure';
  if (law.kind === 'factor') return factorText(law, explanation);
  if (law.kind === 'frequency') {
    const frequency = autoText(law.frequency, 'Hz', 3);
    return `the light changes at ${frequency} (${law.count} findings agree, ± ${percent(law.spread)}): ${metricsText(explanation)}`;
  }
  if (law.kind === 'curve')
    return `the light does not go along the dimming curve${law.instead ? ` (${law.instead})` : ''}: ${metricsText(explanation)}`;
  if (law.kind === 'transfer') return transferText(law.transfer);
  const { offset, spread, count, unit, shown } = law;
  const by = figureText(Math.abs(offset), unit, shown, 3);
  const than = offset > 0 ? 'more' : 'less';
  return `${title} is ${by} ${than} than what was asked for (${count} of ${count}, ± ${figureText(spread, unit, shown, 2)}): a common offset`;
}

/** How the light follows what is commanded. */
function transferText(transfer: Transfer): string {
  switch (transfer.form) {
    case 'missing-bit':
      return `the light falls short by ${ratioText(transfer.share)} of full, or not at all: bit ${transfer.bit} of the drive, counted from the highest, is never set`;
    case 'floor':
      return `the light stays at ${ratioText(transfer.level)} wherever less is commanded: a floor`;
    case 'ceiling':
      return `the light stays at ${ratioText(transfer.level)} wherever more is commanded: a ceiling`;
    case 'dark':
      return `the light is dark wherever ${ratioText(transfer.level)} or less is commanded`;
    case 'coarse':
      return `levels come in steps of ${ratioText(transfer.share)} of full, as a drive of ${transfer.bits} bits gives them`;
    case 'offset':
      return `the light is ${ratioText(Math.abs(transfer.share))} of full ${transfer.share > 0 ? 'more' : 'less'} than what is commanded: a common offset`;
    case 'factor':
      return `the light is ${formatNumber(transfer.factor, 3)} of what is commanded, full light apart: a common factor`;
    case 'power':
      return `the light is what is commanded to the power of ${formatNumber(transfer.exponent, 3)}: another curve than the dimming curve`;
  }
}

function ratioText(share: number): string {
  return figureText(share, '1', '%', 3);
}

function factorText(
  { factor, spread, count }: Law & { readonly kind: 'factor' },
  { metrics, scope, claims }: Explanation,
): string {
  const figure = `${formatNumber(factor, 3)}`;
  const agree = `(${count} of ${count}, ± ${percent(spread)})`;
  const [first] = metrics;
  if (first?.metric !== 'fade-duration')
    return `${first?.title ?? 'The figure'} is ${figure} of what was asked for ${agree}: a common factor`;
  const cause = scope || claims ? 'a common factor' : 'the time base';
  return `every fade takes ${figure} of the time that was commanded ${agree}: ${cause}`;
}

/** `Fade duration (36), Overshoot of a fade (2)` */
function metricsText({ metrics }: Explanation): string {
  return listText(metrics);
}

function listText(metrics: Explanation['metrics']): string {
  const named = metrics.slice(0, 3).map(({ title, failing }) => `${title} (${failing})`);
  const more = metrics.length - named.length;
  return [...named, ...(more > 0 ? [counted(more, 'more metric')] : [])].join(', ');
}

function elsewhereText({ findings, passing }: Explanation): string {
  const all = findings.length + passing;
  const claims = [...new Set(findings.map(({ spec }) => spec))];
  const where = claims.length <= 2 ? claims.join(' and ') : counted(claims.length, 'claim');
  return `: ${passing === 0 ? 'all' : `${findings.length} of`} ${all} fail, in ${where}`;
}

function scopeText(scoped: Scoped): string {
  const { failing, within, passingOutside, failingOutside } = scoped;
  const others =
    failingOutside === 0
      ? `all ${passingOutside} others pass`
      : `${passingOutside} of ${passingOutside + failingOutside} others pass`;
  return `only ${placeText(scoped.scope)} (${failing} of ${within} fail there, ${others})`;
}

function placeText({ facet, values, pattern }: Scoped['scope']): string {
  const all = values.join(' or ');
  if (pattern?.kind === 'every')
    return `at every ${ordinal(pattern.step)} value of ${facet}, from ${pattern.value}`;
  if (pattern) return `where ${facet} is ${pattern.kind} ${pattern.value}`;
  switch (facet) {
    case 'channel':
      return `of ${values.length === 1 ? 'the channel' : 'the channels'} ${values.join(' and ')}`;
    case 'direction':
      return all === 'up' ? 'on the way up' : 'on the way down';
    case 'link':
      return `over ${all}`;
    case 'power':
      return all === 'lost'
        ? 'after the power was lost or the firmware restarted'
        : 'while the power stays';
    default:
      return `where ${facet} is ${all}`;
  }
}

/** `2nd`, `11th`, `23rd` */
function ordinal(count: number): string {
  const kind = new Intl.PluralRules('en', { type: 'ordinal' }).select(count);
  const endings: Readonly<Record<string, string>> = { one: 'st', two: 'nd', few: 'rd' };
  return `${count}${endings[kind] ?? 'th'}`;
}

function percent(share: number): string {
  // Rounding of floating point is no spread.
  return `${formatNumber(share < 1e-9 ? 0 : 100 * share, 2)} %`;
}
