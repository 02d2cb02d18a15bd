import { type Content, element } from '../../html/markup.ts';
import type { Signature } from './signature.ts';

/** Who signed, with what meaning and waivers; a line to sign on where nobody did. */
export function authorisation(
  signatures: readonly Signature[],
  doubts: readonly string[],
): Content {
  if (doubts.length > 0)
    return [
      element(
        'p',
        {},
        'Sign-offs lie with this run, but they could not be verified with the given keys:',
      ),
      element(
        'ul',
        {},
        doubts.map((doubt) => element('li', {}, doubt)),
      ),
    ];
  if (signatures.length === 0)
    return [
      element(
        'p',
        {},
        'Not signed. Name, date and signature of the person who authorises this report:',
      ),
      element('p', { class: 'signature-line' }, ''),
    ];
  return signatures.map(({ name, signedAt, meaning, decision, key, waivers }) =>
    element(
      'div',
      { class: 'signature' },
      element(
        'p',
        {},
        element('b', {}, name),
        `, ${signedAt}. Meaning: ${meaning}. Decision: ${decision}.`,
      ),
      element('p', { class: 'facts-line' }, 'signed with the key ', element('code', {}, key)),
      waivers.length > 0
        ? element(
            'ul',
            {},
            waivers.map(({ claim, verdict, reason }) =>
              element('li', {}, `Waived: ${claim} (${verdict}). ${reason}`),
            ),
          )
        : null,
    ),
  );
}
