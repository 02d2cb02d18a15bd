import { pageStyle, pageStyleHash, viewStyle, viewStyleHash } from '../../html/assets.ts';
import { type Content, element, escapeHtml, toHtml } from '../../html/markup.ts';
import { plainLine } from '../../words/plain-text.ts';

/** The places that every sheet of `evenfall view` leads to. */
export const places = [
  { name: 'Runs', href: '/' },
  { name: 'Trends', href: '/trend' },
  { name: 'Sign-off', href: '/sign-off' },
] as const;
export type Place = (typeof places)[number]['name'];

export interface Sheet {
  readonly title: string;
  readonly body: Content;
  /** Beneath the heading. */
  readonly where?: string;
  /** Set on the sheets of `evenfall view`: the place that is open, or null for none of them. */
  readonly place?: Place | null;
  /** For those who are turned away: there is nowhere to go from here. */
  readonly closed?: boolean;
  /** Script of the page, beside its hash for the policy. */
  readonly script?: { readonly text: string; readonly hash: string };
}

/** What a sheet may do when nothing else is said: be read. */
export const sheetStyles = `'sha256-${pageStyleHash}' 'sha256-${viewStyleHash}'`;
const filePolicy = `default-src 'none'; style-src ${sheetStyles}; img-src data:; base-uri 'none'; form-action 'none'`;

/** One HTML page in the hand of the run page: a heading, perhaps the places to go to, and a body. */
export function renderSheet({ title, body, where, place, closed, script }: Sheet): string {
  const served = place !== undefined;
  return [
    '<!doctype html>',
    '<html lang="en">',
    '<head>',
    '<meta charset="utf-8">',
    // A served page has its policy in the head of the response.
    served ? '' : `<meta http-equiv="Content-Security-Policy" content="${filePolicy}">`,
    '<meta name="viewport" content="width=device-width, initial-scale=1">',
    '<link rel="icon" href="data:,">',
    `<title>${escapeHtml(plainLine(title))}</title>`,
    `<style>${pageStyle}</style>`,
    `<style>${viewStyle}</style>`,
    '</head>',
    '<body>',
    toHtml(element('a', { class: 'skip', href: '#content' }, 'To the content')),
    toHtml(
      element(
        'div',
        { class: 'sheet view' },
        served && !closed && placeList(place),
        element(
          'header',
          {},
          element('h1', {}, plainLine(title)),
          where !== undefined && element('p', { class: 'where' }, plainLine(where)),
        ),
        element('main', { id: 'content', tabindex: -1 }, body),
      ),
    ),
    script ? `<script>${script.text}</script>` : '',
    '</body>',
    '</html>',
    '',
  ]
    .filter((line) => line !== '')
    .join('\n')
    .concat('\n');
}

function placeList(open: Place | null) {
  return element(
    'nav',
    { 'aria-label': 'Evenfall' },
    element(
      'ul',
      {},
      places.map(({ name, href }) =>
        element('li', {}, element('a', { href, 'aria-current': name === open && 'page' }, name)),
      ),
    ),
  );
}
