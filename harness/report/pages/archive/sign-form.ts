import type { RunRecord } from '../../../record/run-record.ts';
import { type Content, element, type Markup } from '../../html/markup.ts';
import { verdictLabel } from '../../pictures/verdict-shape.ts';
import { plainLine } from '../../words/plain-text.ts';
import { runHref } from './run-list.ts';
import { outcome } from './run-sheet.ts';

/** What a person typed, to be shown again after a refusal; never the passphrase. */
export interface SignEntries {
  readonly name: string;
  readonly meaning: string;
  readonly decision: string;
  /** Claims that are ticked to be waived. */
  readonly waived: readonly string[];
  readonly reasons: Readonly<Record<string, string>>;
}

export interface SignSheet {
  readonly folder: string;
  readonly record: RunRecord;
  /** The key file that the server was started with; null where it was started without. */
  readonly key: string | null;
  /** What the policy still misses, in words; null without a policy. */
  readonly policy: { readonly name: string; readonly unmet: readonly string[] } | null;
  readonly entries: SignEntries;
  /** Why the last attempt was refused. */
  readonly refusal: string | null;
  /** Why nobody can sign here; null where one can. */
  readonly barred: string | null;
  /** Files of sign-offs that the person sees; another number meanwhile means that somebody else signed. */
  readonly seen: number;
}

const decisionWords = [
  ['release', 'every claim holds or is waived, and the build may go out'],
  ['hold', 'nothing is decided yet'],
  ['reject', 'the build must not go out'],
] as const;

/** The form of a decision. It asks for what `evenfall sign` asks for, and for the passphrase last. */
export function viewSign(sheet: SignSheet): Content {
  const { folder, record, policy, refusal, barred } = sheet;
  return [
    element('p', {}, element('a', { href: runHref(folder) }, 'Back to the run')),
    outcome(record),
    policy && policyNote(policy),
    refusal !== null &&
      element('p', { class: 'refusal', role: 'alert', id: 'refusal' }, plainLine(refusal)),
    barred === null ? form(sheet) : element('p', { class: 'refusal' }, plainLine(barred)),
  ];
}

export function policyNote({ name, unmet }: NonNullable<SignSheet['policy']>): Markup {
  return element(
    'div',
    { class: 'policy' },
    element(
      'p',
      {},
      unmet.length === 0
        ? `The policy ${plainLine(name)} is met.`
        : `The policy ${plainLine(name)} is not met yet:`,
    ),
    element(
      'ul',
      { class: 'problems' },
      unmet.map((text) => element('li', {}, plainLine(text))),
    ),
  );
}

function form({ folder, record, key, entries, refusal, seen }: SignSheet): Markup {
  const open = record.specs.filter(({ verdict }) => verdict !== 'pass');
  return element(
    'form',
    {
      class: 'sign',
      method: 'post',
      action: runHref(folder, 'sign'),
      'aria-describedby': refusal !== null && 'refusal',
    },
    element('input', { type: 'hidden', name: 'seen', value: seen }),
    text('name', 'Your name', entries.name, 'as it stands in the report and in the policy', 'name'),
    text(
      'meaning',
      'What the signature means',
      entries.meaning,
      'review, approval, responsibility',
      'off',
    ),
    element(
      'fieldset',
      {},
      element('legend', {}, 'Decision'),
      decisionWords.map(([decision, words]) =>
        element(
          'label',
          { class: 'choice-line' },
          element('input', {
            type: 'radio',
            name: 'decision',
            value: decision,
            required: true,
            checked: decision === entries.decision,
          }),
          element('span', {}, element('b', {}, decision), `: ${words}`),
        ),
      ),
    ),
    open.length > 0 &&
      element(
        'fieldset',
        {},
        element('legend', {}, 'Claims that did not hold: a release needs each of them waived'),
        open.map(({ spec, claim, verdict }, index) =>
          element(
            'div',
            { class: 'waiver' },
            element(
              'label',
              { class: 'choice-line' },
              element('input', {
                type: 'checkbox',
                name: 'waive',
                value: spec,
                checked: entries.waived.includes(spec),
              }),
              element('span', {}, 'waive ', verdictLabel(verdict), ' ', plainLine(claim)),
            ),
            element(
              'label',
              { for: `reason-${index}` },
              element('span', {}, plainLine(`Why ${spec} may be waived`)),
              element('input', {
                id: `reason-${index}`,
                name: `reason ${spec}`,
                value: entries.reasons[spec] ?? '',
                autocomplete: 'off',
                maxlength: 2000,
              }),
            ),
          ),
        ),
      ),
    element(
      'label',
      {},
      element('span', {}, plainLine(`Passphrase of the key ${key ?? ''}`)),
      element('input', {
        type: 'password',
        name: 'passphrase',
        autocomplete: 'off',
        required: true,
      }),
      element(
        'small',
        {},
        'Used once, on this computer, to open the key file; neither stored nor logged.',
      ),
    ),
    element(
      'p',
      { class: 'press-line' },
      element('button', { class: 'press' }, 'Sign this decision'),
      ' A signature cannot be taken back; a later one may decide otherwise.',
    ),
  );
}

function text(
  name: string,
  label: string,
  value: string,
  hint: string,
  autocomplete: string,
): Markup {
  return element(
    'label',
    {},
    element('span', {}, label),
    element('input', { name, value, autocomplete, required: true, maxlength: 200 }),
    element('small', {}, hint),
  );
}
