import { plainLine } from '../../../files/plain-text.ts';
import { type Html, html } from '../../html/html.ts';
import { type StoredSeal, sealWarning } from '../../words/seal-words.ts';
import { runHref } from './run-list.ts';

/** A run that was left out, since it is not as it was stored. */
export function alteredNote(folder: string, seal: StoredSeal): Html {
  return html`
    <p class="refusal" role="alert">
      Left out: <a href="${runHref(folder)}">${plainLine(folder)}</a>, ${sealWarning(seal)}.
    </p>`;
}
