import type { RunRecord, SpecRecord } from '../../../record/run-record.ts';
import type { Verdict } from '../../../verdict/verdict.ts';
import { type Content, element, type Markup } from '../../html/markup.ts';
import { verdictLabel } from '../../pictures/verdict-shape.ts';
import { counted, deviationTexts } from '../../text/summary.ts';
import { timeText, valueText } from '../../words/value-text.ts';
import { verdictMeaning, verdicts } from '../../words/verdict-words.ts';
import {
  claimReason,
  claimsWorstFirst,
  findingsWorstFirst,
  placeText,
} from '../../words/worst-first.ts';
import { claimId, unbroken } from './claim-line.ts';

/** What was tested, where, when, and how it ended, in a few lines of prose. */
export function runHead(record: RunRecord): Markup {
  const { lamp, rig, startedAt, seed } = record;
  const where = rig.simulated ? `${rig.name} (simulated instruments, seed ${seed})` : rig.name;
  return element(
    'header',
    {},
    element('p', { class: 'maker' }, lamp.maker),
    element('h1', {}, `${lamp.name}, build ${lamp.build}`),
    element(
      'p',
      { class: 'where' },
      `${dateText(startedAt)}. Rig: ${where}. Lamp serial: ${lamp.serial}. Firmware: ${lamp.firmware.name}.`,
    ),
    element('p', { class: 'run-id' }, `Run ${record.id}`),
    outcomeSentence(record),
    exceptions(record),
    element('ul', { class: 'remarks' }, remarks(record)),
  );
}

/** `24 November 2026, 18:03 UTC` */
export function dateText(instant: string): string {
  const [day = '', time = ''] = instant.split('T');
  const [year, month, date] = day.split('-').map(Number);
  return `${date} ${months[(month ?? 1) - 1]} ${year}, ${time.slice(0, 5)} UTC`;
}

const months =
  'January February March April May June July August September October November December'.split(
    ' ',
  );

function outcomeSentence(record: RunRecord): Markup {
  const { specs, decision, totals } = record;
  const findings = Object.values(totals.findings).reduce((sum, count) => sum + count, 0);
  const holds = count(specs, 'pass');
  const lead =
    holds === specs.length && specs.length > 0
      ? `All ${specs.length} claims hold.`
      : `${holds} of ${counted(specs.length, 'claim')} hold.`;
  return element(
    'p',
    { class: `outcome ${record.verdict.replace(' ', '-')}` },
    element('strong', {}, lead),
    ` ${counted(findings, 'finding')}, ${decision.rule} decision rule with k = ${decision.coverageFactor}, `,
    `${timeText(totals.lampTime)} of lamp time.`,
  );
}

/** Everything that did not pass, the worst first, as links: the first thing that a reader looks for. */
function exceptions(record: RunRecord): Markup | null {
  const claims = claimsWorstFirst(record).filter(({ verdict }) => verdict !== 'pass');
  if (claims.length === 0) return null;
  return element(
    'ul',
    { class: 'exceptions', 'aria-label': 'Claims that did not pass' },
    claims.map((spec) =>
      element(
        'li',
        {},
        verdictLabel(spec.verdict),
        element(
          'div',
          {},
          element('a', { href: `#${claimId(spec)}` }, spec.claim),
          element('p', {}, worstText(spec)),
        ),
      ),
    ),
  );
}

/** Beside the link, so that one look tells what is wrong and by how much. */
function worstText(spec: SpecRecord): string | null {
  const worst = findingsWorstFirst(spec)[0];
  if (!worst) return claimReason(spec);
  const { finding } = worst;
  return `${placeText(worst)}: ${finding.title} ${unbroken(valueText(finding))}, allowed ${unbroken(finding.limits.text)}`;
}

function remarks({ ended, deviations, safeState, faults, follows }: RunRecord): Content[] {
  const item = (name: string, text: string) =>
    element('li', {}, element('b', {}, `${name}. `), text);
  return [
    ended === 'complete' ? null : item('Not complete', `The run ended ${ended}.`),
    safeState.confirmed ? null : item('Safe state not confirmed', safeState.detail),
    faults.map(({ fault, size }) => item('Seeded fault', `${fault}, size ${size}.`)),
    follows.map(({ id, how }) => item('Follows', `This run ${how} ${id}.`)),
    deviationTexts(deviations).map(({ kind, text }) => item(capital(kind), text)),
  ];
}

export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

function count(specs: readonly SpecRecord[], verdict: Verdict): number {
  return specs.filter((spec) => spec.verdict === verdict).length;
}

/** Search and filters. They work with the page's script only, so the script uncovers them. */
export function filterBar({ specs, lamp }: RunRecord): Markup {
  const tags = sorted(specs.flatMap((spec) => spec.tags));
  const requirements = sorted(specs.flatMap((spec) => spec.traces));
  const present = verdicts.filter((verdict) => count(specs, verdict) > 0);
  return element(
    'form',
    { class: 'filters', role: 'search', hidden: true },
    element(
      'div',
      { class: 'verdicts', role: 'group', 'aria-label': 'Show only these verdicts' },
      present.map((verdict) =>
        element(
          'button',
          {
            type: 'button',
            'data-verdict': verdict,
            'aria-pressed': 'false',
            title: verdictMeaning[verdict],
          },
          verdictLabel(verdict),
          element('span', { class: 'count' }, count(specs, verdict)),
        ),
      ),
    ),
    element(
      'div',
      { class: 'fields' },
      element(
        'label',
        { class: 'search' },
        element('span', {}, 'Search'),
        element('input', {
          type: 'search',
          name: 'search',
          placeholder: 'a word of a claim, a metric, a reason',
          autocomplete: 'off',
          'aria-keyshortcuts': '/',
        }),
      ),
      choice(
        'channel',
        'Channel',
        lamp.channels.map(({ channel }) => channel),
      ),
      choice('tag', 'Tag', tags),
      choice('requirement', 'Requirement', requirements),
    ),
    element('p', { class: 'shown', role: 'status' }),
  );
}

function choice(name: string, label: string, options: readonly string[]): Markup | null {
  if (options.length === 0) return null;
  return element(
    'label',
    {},
    element('span', {}, label),
    element(
      'select',
      { name },
      element('option', { value: '' }, 'any'),
      options.map((option) => element('option', { value: option }, option)),
    ),
  );
}

function sorted(values: readonly string[]): string[] {
  return [...new Set(values)].sort((a, b) => a.localeCompare(b, 'en', { numeric: true }));
}
