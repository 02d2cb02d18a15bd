import { plainLine } from '../../../files/plain-text.ts';
import { type Html, html } from '../../html/html.ts';

/** Tells somebody that they cannot have what they asked for, and why. Scripts of pages use it too, so it needs no style. */
export function refusal(sentence: string): Html {
  return html`<p class="refusal">${plainLine(sentence)}</p>`;
}
