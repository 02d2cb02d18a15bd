import { type Content, type Html, html } from '../../html/html.ts';
import { clockText } from './lab-words.ts';

/**
 * The part of a page that its script keeps up to date, with the line that says how old it is: the script renders the same content
 * again from each state that the server tells, of the whole lab or of one submission.
 */
export function livePart(
  { at, submission = '' }: { readonly at: string | null; readonly submission?: string },
  content: Content,
): Html {
  return html`
    <p class="aside" id="age">${at !== null && `As it was at ${clockText(at)}.`}</p>
    <p class="aside" role="status" id="news"></p>
    <noscript><p class="aside">Without scripts this page does not update: load it again.</p></noscript>
    <div id="live" data-submission="${submission}">${content}</div>`;
}
