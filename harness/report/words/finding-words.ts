import { conditionWords } from '../../record/condition-words.ts';
import type { Finding, RunRecord, SpecRecord } from '../../record/run-record.ts';
import { marginText } from './margin-words.ts';
import { repeatText } from './prose.ts';
import { repeatedText } from './repeated-words.ts';
import { valueText } from './value-text.ts';
import { claimReason, decidingFinding, findingsWorstFirst, type Placed } from './worst-first.ts';

/** Where a finding was made, in words: `indigo, fade time 8 s, during hold, repeat 2`. */
export function placeText({ condition, finding }: Placed): string {
  const { of, during } = finding;
  const { key, repeat } = condition;
  return [of, conditionWords(key), during && `during ${during}`, repeatText(repeat)]
    .filter(Boolean)
    .join(', ');
}

/** What was found where, and what was allowed: `arrival spread of lamp: 41.2 ± 2.9 ms, allowed at most 20 ms`. */
export function findingFigures(placed: Placed): string {
  const { finding } = placed;
  const repeated = repeatedText(finding);
  const how = repeated === null ? '' : ` (${repeated})`;
  return `${finding.title} of ${placeText(placed)}: ${valueText(finding)}${how}, allowed ${finding.limits.text}`;
}

/** The finding of a claim that came closest to its limit, with the margin that is left; null where nothing was measured. */
export function closestText(spec: SpecRecord): string | null {
  const [closest] = findingsWorstFirst(spec);
  if (!closest) return null;
  const left = marginText(closest.finding);
  return left === null ? findingFigures(closest) : `${findingFigures(closest)}; ${left}`;
}

/** One line that stands alone in a list of CI: what, where, how much, allowed, why. */
export function findingSentence(placed: Placed): string {
  const why = whyText(placed.finding);
  return why ? `${findingFigures(placed)}. ${why}` : findingFigures(placed);
}

/** Why a claim ended as it did: its deciding finding, or the reason that was given. */
export function claimSentence(spec: SpecRecord): string | null {
  const deciding = decidingFinding(spec);
  return deciding ? findingSentence(deciding) : claimReason(spec);
}

/**
 * What a finding's reason adds to its figures. Many reasons begin with the figures themselves, for those who see the
 * sentence alone; beside the figures only the rest is news. Null when there is none.
 */
export function whyText({ title, limits, reason }: Finding): string | null {
  if (!reason?.startsWith(title)) return reason;
  const end = reason.indexOf(limits.text);
  const rest = end < 0 ? reason : reason.slice(end + limits.text.length).replace(/^[:;,.\s]+/, '');
  return rest || null;
}

/** Deviations of one kind as one: a bench that stutters a hundred times is one thing to know. */
export function deviationTexts(deviations: RunRecord['deviations']): RunRecord['deviations'] {
  const texts = new Map<string, string[]>();
  for (const { kind, text } of deviations) texts.set(kind, [...(texts.get(kind) ?? []), text]);
  return [...texts].map(([kind, [first = '', ...more]]) => ({
    kind,
    text: more.length === 0 ? first : `${more.length + 1} times, first: ${first}`,
  }));
}
