import { plainLine } from '../../../files/plain-text.ts';
import type { RunRecord, SpecRecord } from '../../../record/run-record.ts';
import { standsOpen } from '../../../verdict/verdict.ts';
import { type Html, html } from '../../html/html.ts';
import { bulletList } from '../../html/table.ts';
import { verdictLabel } from '../../pictures/verdict-shape.ts';
import { type Seat, seatsText } from '../../words/seats-text.ts';
import { refusal } from './refusal.ts';
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
  readonly policy: {
    readonly name: string;
    readonly unmet: readonly string[];
    readonly seats: readonly Seat[];
  } | null;
  /** What the person should know before they sign, such as that a release of theirs would add nothing. */
  readonly notice: string | null;
  readonly entries: SignEntries;
  /** Why the last attempt was refused. */
  readonly refusal: string | null;
  /** Why nobody can sign here; null where one can. */
  readonly barred: string | null;
  /** Files of sign-offs that the person sees; another number meanwhile means that somebody else signed. */
  readonly seen: number;
}

/** The form of a decision. It asks for what `evenfall sign` asks for, and for the passphrase last. */
export function signForm(sheet: SignSheet): Html {
  const { folder, record, policy, barred } = sheet;
  return html`
    <p><a href="${runHref(folder)}">Back to the run</a></p>
    ${outcome(record)}
    ${policy && policyNote(policy)}
    ${sheet.notice !== null && html`<p class="barred">${plainLine(`${sheet.notice}.`)}</p>`}
    ${sheet.refusal !== null && html`<p class="refusal" role="alert" id="refusal">${plainLine(sheet.refusal)}</p>`}
    ${barred === null ? form(sheet) : refusal(barred)}`;
}

function policyNote({ name, unmet, seats }: NonNullable<SignSheet['policy']>): Html {
  const state = unmet.length === 0 ? 'is met.' : 'is not met yet:';
  return html`
    <div class="policy">
      <p>The policy ${plainLine(name)} ${state} ${plainLine(seatsText(seats))}</p>
      ${bulletList(unmet.map(plainLine), 'problems')}
    </div>`;
}

function form(sheet: SignSheet): Html {
  const { folder, record, key, entries, seen } = sheet;
  const open = record.specs.filter(standsOpen);
  const described = sheet.refusal !== null && html` aria-describedby="refusal"`;
  return html`
    <form class="sign" method="post" action="${runHref(folder, 'sign')}"${described}>
      <input type="hidden" name="seen" value="${seen}">
      ${signer(entries)}
      ${decisions(entries)}
      ${open.length > 0 && waivers(open, entries)}
      <label>
        <span>${plainLine(`Passphrase of the key ${key ?? ''}`)}</span>
        <input type="password" name="passphrase" autocomplete="off" required>
        <small>Used once, on this computer, to open the key file; neither stored nor logged.</small>
      </label>
      <p class="press-line"><button class="press">Sign this decision</button> A signature cannot be withdrawn; a later one can change the decision.</p>
    </form>`;
}

function signer({ name, meaning }: SignEntries): Html {
  return html`
    <label>
      <span>Your name</span>
      <input name="name" value="${name}" autocomplete="name" required maxlength="200">
      <small>as it stands in the report and in the policy</small>
    </label>
    <label>
      <span>What the signature means</span>
      <input name="meaning" value="${meaning}" autocomplete="off" required maxlength="200">
      <small>for example review, approval or responsibility</small>
    </label>`;
}

const decisionWords = [
  ['release', 'every claim holds or is waived, and the build may go out'],
  ['hold', 'nothing is decided yet'],
  ['reject', 'the build must not go out'],
] as const;

function decisions(entries: SignEntries): Html {
  const choices = decisionWords.map(([decision, words]) => {
    const isChosen = decision === entries.decision;
    return html`
      <label class="choice-line">
        <input type="radio" name="decision" value="${decision}" required${isChosen && ' checked'}>
        <span><b>${decision}</b>: ${words}</span>
      </label>`;
  });
  return html`<fieldset><legend>Decision</legend>${choices}</fieldset>`;
}

function waivers(open: readonly SpecRecord[], entries: SignEntries): Html {
  return html`
    <fieldset>
      <legend>Claims that do not hold: to release, waive each of them</legend>
      ${open.map((spec, index) => waiver(spec, index, entries))}
    </fieldset>`;
}

function waiver({ spec, claim, verdict }: SpecRecord, index: number, entries: SignEntries): Html {
  const isWaived = entries.waived.includes(spec);
  const reason = entries.reasons[spec] ?? '';
  return html`
    <div class="waiver">
      <label class="choice-line">
        <input type="checkbox" name="waive" value="${spec}"${isWaived && ' checked'}>
        <span>waive ${verdictLabel(verdict)} ${plainLine(claim)}</span>
      </label>
      <label for="reason-${index}">
        <span>${plainLine(`Why ${spec} may be waived`)}</span>
        <input id="reason-${index}" name="reason ${spec}" value="${reason}" autocomplete="off" maxlength="2000">
      </label>
    </div>`;
}
