import { type Asset, archiveStyle, pageStyle } from '../../html/assets.js';
import { renderDocument, sourceHash } from '../../html/document.ts';
import { type Content, element } from '../../html/markup.ts';
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
  readonly script?: Asset;
}

const styles = [pageStyle, archiveStyle];
/** The styles of a sheet as a policy admits them. */
export const sheetStyles = styles.map(sourceHash).join(' ');

/** One HTML page in the hand of the run page: a heading, perhaps the places to go to, and a body. */
export function renderSheet({ title, body, where, place, closed, script }: Sheet): string {
  const served = place !== undefined;
  return renderDocument({
    title: plainLine(title),
    styles,
    served,
    ...(script ? { script } : {}),
    body: [
      element('a', { class: 'skip', href: '#content' }, 'To the content'),
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
    ],
  });
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
