import type { Asset } from './assets.js';
import { type Content, type Html, html, trusted } from './html.ts';
import { type Deflate, packed } from './packed.ts';

export interface HtmlDocument {
  readonly title: string;
  readonly styles: readonly Asset[];
  readonly body: Content;
  /** Data for the script, by the id of the element that holds it, packed. */
  readonly data?: Readonly<Record<string, unknown>>;
  /** Packs it; fflate's where nothing is given. */
  readonly deflate?: Deflate | undefined;
  readonly script?: Asset;
  /** A served page has its rules in the head of the response; a file carries its own. */
  readonly served?: boolean;
}

/**
 * One HTML file that needs nothing else: no network, no second file. The policy in the head admits the page's own script
 * and styles, by hash, and nothing more, so text of strangers can only ever be text.
 */
export function renderDocument(document: HtmlDocument): string {
  const { title, styles, body, data = {}, script, served = false, deflate } = document;
  const parts = [
    trusted('<!doctype html>'),
    trusted('<html lang="en">'),
    trusted('<head>'),
    html`<meta charset="utf-8">`,
    ...(served ? [] : rules(styles, script)),
    html`<meta name="viewport" content="width=device-width, initial-scale=1">`,
    html`<link rel="icon" href="data:,">`,
    html`<title>${title}</title>`,
    ...styles.map(({ text }) => html`<style>${trusted(text)}</style>`),
    trusted('</head>'),
    trusted('<body>'),
    html`${body}`,
    ...Object.entries(data).map(([id, value]) => dataScript(id, packed(value, deflate))),
    ...(script ? [html`<script>${trusted(script.text)}</script>`] : []),
    trusted('</body>'),
    trusted('</html>'),
    '',
  ];
  return parts.join('\n');
}

/** What a file may do: show itself. Nobody is told that it was opened. */
function rules(styles: readonly Asset[], script: Asset | undefined): Html[] {
  const policy = [
    "default-src 'none'",
    ...(script ? [`script-src ${sourceHash(script)}`] : []),
    `style-src ${styles.map(sourceHash).join(' ')}`,
    'img-src data:',
    "base-uri 'none'",
    "form-action 'none'",
  ];
  return [
    html`<meta http-equiv="Content-Security-Policy" content="${trusted(policy.join('; '))}">`,
    html`<meta name="referrer" content="no-referrer">`,
  ];
}

/** A script or style as a policy admits it. */
export function sourceHash({ hash }: Asset): string {
  return `'sha256-${hash}'`;
}

/** A block of data, which no browser runs. */
function dataScript(id: string, text: string): Html {
  return html`<script type="text/plain" id="${id}">${trusted(text)}</script>`;
}
