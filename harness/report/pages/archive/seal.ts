import type { Verdict } from '../../../verdict/verdict.ts';
import { type Content, element, type Markup } from '../../html/markup.ts';
import { plainLine } from '../../words/plain-text.ts';
import { capital, dateText } from '../run/run-head.ts';

/** What checking a run's files and signatures came to; the archive's verification fits it. */
export interface CheckedSeal {
  readonly accepted: boolean;
  readonly files: number;
  readonly problems: readonly { readonly file: string; readonly text: string }[];
  readonly unmet: readonly string[];
  readonly signoffs: readonly {
    readonly predicate: {
      readonly signer: { readonly name: string; readonly key: string };
      readonly signedAt: string;
      readonly meaning: string;
      readonly decision: string;
      readonly waivers: readonly {
        readonly claim: string;
        readonly verdict: Verdict;
        readonly reason: string;
      }[];
    };
  }[];
  /** Somebody signed, whether or not the signature could be checked. */
  readonly signed: boolean;
  /** Public keys that were trusted while checking. */
  readonly keys: number;
}

/** The state in two words and a shape, for a list. */
export function sealLabel(seal: CheckedSeal): Markup {
  const [kind, words] = sealState(seal);
  return element('span', { class: `seal ${kind}` }, words);
}

function sealState({ accepted, signed, keys, problems }: CheckedSeal): readonly [string, string] {
  const broken = fileProblems(problems);
  if (broken.length > 0 && (!signed || keys > 0)) return ['refused', '▲ altered'];
  if (!signed) return ['open', '○ sealed, not signed'];
  if (accepted) return ['accepted', '● verified'];
  if (keys === 0) return ['open', '◐ signed, not checked'];
  return ['refused', '▲ refused'];
}

/** That nobody signed is no harm done to a file. */
function fileProblems(problems: CheckedSeal['problems']): CheckedSeal['problems'] {
  return problems.filter(({ file }) => !file.startsWith('signoffs'));
}

/** Everything that was checked, and who decided what. */
export function sealSection(seal: CheckedSeal): Content {
  const { accepted, files, signed, keys, signoffs, unmet } = seal;
  const told = signed ? seal.problems : fileProblems(seal.problems);
  const sound = fileProblems(seal.problems).length === 0;
  return [
    element(
      'p',
      { class: 'lead', role: 'status' },
      sealLabel(seal),
      ' ',
      sound ? `All ${files} files are as they were sealed.` : 'The run is not as it was sealed.',
    ),
    signed &&
      keys === 0 &&
      element(
        'p',
        {},
        'No public key is trusted here, so no signature can be checked: start evenfall view with --public KEY or --policy FILE.',
      ),
    element(
      'ul',
      { class: 'problems' },
      // Without a key every signature is a problem, and the sentence above says so once.
      (signed && keys === 0 ? fileProblems(told) : told).map(({ file, text }) =>
        element('li', {}, element('code', {}, plainLine(file)), ` ${plainLine(text)}`),
      ),
      unmet.map((text) => element('li', {}, `Policy: ${plainLine(text)}`)),
    ),
    signoffs.map(({ predicate }) => signoffNote(predicate)),
    accepted && element('p', { class: 'aside' }, 'Checked just now, with the public keys alone.'),
  ];
}

function signoffNote({
  signer,
  signedAt,
  meaning,
  decision,
  waivers,
}: CheckedSeal['signoffs'][number]['predicate']): Markup {
  return element(
    'div',
    { class: 'signoff' },
    element(
      'p',
      {},
      element('strong', {}, `${capital(decision)} by ${plainLine(signer.name)}`),
      `, ${dateText(signedAt)}: ${plainLine(meaning)}`,
    ),
    element('p', { class: 'aside' }, 'Key ', element('code', {}, signer.key)),
    element(
      'ul',
      {},
      waivers.map(({ claim, verdict, reason }) =>
        element('li', {}, plainLine(`Waived ${claim} (${verdict}): ${reason}`)),
      ),
    ),
  );
}
