import { plainLine } from '../../../files/plain-text.ts';
import type { Verdict } from '../../../verdict/verdict.ts';
import { type Html, html } from '../../html/html.ts';
import { bulletList } from '../../html/table.ts';
import { capital, dateText } from '../../words/prose.ts';
import { type Seat, seatsText } from '../../words/seats-text.ts';

/** What checking a run's files and signatures came to; the archive's verification fits it. */
export interface CheckedSeal {
  readonly accepted: boolean;
  /** What was decided on the run, by those who may; `refused` where something is not as it was signed. */
  readonly decision: 'released' | 'on hold' | 'rejected' | 'undecided' | 'refused';
  readonly files: number;
  readonly problems: readonly { readonly file: string; readonly text: string }[];
  readonly unmet: readonly string[];
  /** What whoever relies on the run should know, though nothing is wrong. */
  readonly notes?: readonly string[];
  /** Of it, what the run itself lacks, and what signers did that keeps it back. */
  readonly refused: readonly string[];
  readonly heldBack: readonly string[];
  /** Signatures that a policy asks for, and who gave them. */
  readonly seats: readonly Seat[];
  readonly signoffs: readonly { readonly predicate: SignoffPredicate }[];
  /** Somebody signed, whether or not the signature could be checked. */
  readonly signed: boolean;
  /** Public keys that were trusted while checking. */
  readonly keys: number;
}

interface SignoffPredicate {
  readonly signer: { readonly name: string; readonly key: string };
  readonly signedAt: string;
  readonly meaning: string;
  readonly decision: string;
  readonly waivers: readonly {
    readonly claim: string;
    readonly verdict: Verdict;
    readonly reason: string;
  }[];
}

/** The state in two words and a shape, for a list. */
export function sealLabel(seal: CheckedSeal): Html {
  const [kind, words] = sealState(seal);
  return html`<span class="seal ${kind}">${words}</span>`;
}

function sealState({ decision, signed, keys, problems }: CheckedSeal): readonly [string, string] {
  const broken = fileProblems(problems);
  if (broken.length > 0 && (!signed || keys > 0)) return ['refused', '▲ altered'];
  if (!signed) return ['open', '○ sealed, not signed'];
  if (keys === 0) return ['open', '◐ signed, not checked'];
  return decided[decision];
}

const decided: Readonly<Record<CheckedSeal['decision'], readonly [string, string]>> = {
  released: ['accepted', '● released'],
  'on hold': ['open', '◐ on hold'],
  undecided: ['open', '◐ undecided'],
  rejected: ['refused', '▲ rejected'],
  refused: ['refused', '▲ refused'],
};

/** That nobody signed is no harm done to a file. */
function fileProblems(problems: CheckedSeal['problems']): CheckedSeal['problems'] {
  return problems.filter(({ file }) => !file.startsWith('signoffs'));
}

/** Everything that was checked, and who decided what. */
export function sealSection(seal: CheckedSeal): Html {
  const { accepted, files, signed, keys, signoffs, unmet, seats } = seal;
  const isUnchecked = signed && keys === 0;
  const broken = fileProblems(seal.problems);
  // Without a key every signature is a problem, and one sentence says so once.
  const told = signed && !isUnchecked ? seal.problems : broken;
  const state =
    broken.length === 0
      ? `All ${files} files are unchanged since they were sealed.`
      : 'The run has changed since it was sealed.';
  const problems = [
    ...told.map(({ file, text }) => html`<code>${plainLine(file)}</code> ${plainLine(text)}`),
    ...unmet.map((text) => `Policy: ${plainLine(text)}`),
  ];
  return html`
    <p class="lead" role="status">${sealLabel(seal)} ${state}</p>
    ${isUnchecked && html`<p>No public key is trusted here, so no signature can be checked: start evenfall view with --public KEY or --policy FILE.</p>`}
    ${seats.length > 0 && html`<p>${plainLine(seatsText(seats))}</p>`}
    ${bulletList(problems, 'problems')}
    ${signed && bulletList((seal.notes ?? []).map((note) => `Note: ${plainLine(note)}`))}
    ${signoffs.map(({ predicate }) => signoffNote(predicate))}
    ${accepted && html`<p class="aside">Checked just now with the public keys alone.</p>`}`;
}

function signoffNote({ signer, signedAt, meaning, decision, waivers }: SignoffPredicate): Html {
  const by = html`<strong>${capital(decision)} by ${plainLine(signer.name)}</strong>`;
  const waived = waivers.map(({ claim, verdict, reason }) =>
    plainLine(`Waived ${claim} (${verdict}): ${reason}`),
  );
  return html`
    <div class="signoff">
      <p>${by}, ${dateText(signedAt)}: ${plainLine(meaning)}</p>
      <p class="aside">Key <code>${signer.key}</code></p>
      ${bulletList(waived)}
    </div>`;
}
