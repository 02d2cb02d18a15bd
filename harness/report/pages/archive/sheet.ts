import { plainLine } from '../../../files/plain-text.ts';
import { type Asset, archiveStyle, pageStyle } from '../../html/assets.js';
import { renderDocument, sourceHash } from '../../html/document.ts';
import { type Content, type Html, html } from '../../html/html.ts';

/** The places that every sheet of `evenfall view` leads to. */
const places = [
  { name: 'Runs', href: '/' },
  { name: 'Builds', href: '/builds' },
  { name: 'Trends', href: '/trend' },
  { name: 'Sign-off', href: '/sign-off' },
] as const;
/** And those of a lab, which stands before them. */
const labPlaces = [{ name: 'Lab', href: '/lab' }, ...places] as const;
type Place = (typeof labPlaces)[number]['name'];

export interface Sheet {
  readonly title: string;
  readonly body: Content;
  /** Beneath the heading. */
  readonly where?: string;
  /** Set on the sheets of `evenfall view`: the place that is open, or null for none of them. */
  readonly place?: Place | null;
  /** For those who are turned away: there is nowhere to go from here. */
  readonly closed?: boolean;
  /** A lab serves it. */
  readonly lab?: boolean;
  readonly script?: Asset;
}

const styles = [pageStyle, archiveStyle];
/** The styles of a sheet as a policy admits them. */
export const sheetStyles = styles.map(sourceHash).join(' ');

/** One HTML page in the hand of the run page: a heading, perhaps the places to go to, and a body. */
export function renderSheet(sheet: Sheet): string {
  const { title, place, script } = sheet;
  return renderDocument({
    title: plainLine(title),
    styles,
    body: sheetBody(sheet),
    ...(script ? { script } : {}),
    served: place !== undefined,
  });
}

function sheetBody({ title, body, where, place, closed, lab }: Sheet): Html {
  return html`
    <a class="skip" href="#content">Skip to the content</a>
    <div class="sheet view">
      ${place !== undefined && !closed && placeList(place, lab ? labPlaces : places)}
      <header>
        <h1>${plainLine(title)}</h1>
        ${where !== undefined && html`<p class="where">${plainLine(where)}</p>`}
      </header>
      <main id="content" tabindex="-1">${body}</main>
    </div>`;
}

function placeList(
  open: Place | null,
  all: readonly { readonly name: Place; readonly href: string }[],
): Html {
  const items = all.map(({ name, href }) => {
    const current = name === open && html` aria-current="page"`;
    return html`<li><a href="${href}"${current}>${name}</a></li>`;
  });
  return html`<nav aria-label="Evenfall"><ul>${items}</ul></nav>`;
}
