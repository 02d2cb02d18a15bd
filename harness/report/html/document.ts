import type { Asset } from './assets.js';
import { type Content, escapeHtml, toHtml } from './markup.ts';

export interface HtmlDocument {
  readonly title: string;
  readonly styles: readonly Asset[];
  readonly body: Content;
  /** Data for the script, by the id of the element that holds it. */
  readonly data?: Readonly<Record<string, unknown>>;
  readonly script?: Asset;
  /** A served page has these rules in the head of the response; a file carries its own. */
  readonly served?: boolean;
}

/**
 * One HTML file that needs nothing else: no network, no second file. The policy in the head admits the page's own script
 * and styles, by hash, and nothing more, so text of strangers can only ever be text.
 */
export function renderDocument(document: HtmlDocument): string {
  const { title, styles, body, data = {}, script, served = false } = document;
  return [
    '<!doctype html>',
    '<html lang="en">',
    '<head>',
    '<meta charset="utf-8">',
    ...(served ? [] : rules(styles, script)),
    '<meta name="viewport" content="width=device-width, initial-scale=1">',
    '<link rel="icon" href="data:,">',
    `<title>${escapeHtml(title)}</title>`,
    ...styles.map(({ text }) => `<style>${text}</style>`),
    '</head>',
    '<body>',
    toHtml(body),
    ...Object.entries(data).map(([id, value]) => dataScript(id, value)),
    ...(script ? [`<script>${script.text}</script>`] : []),
    '</body>',
    '</html>',
    '',
  ].join('\n');
}

/** What a file may do: show itself. Nobody is told that it was opened. */
function rules(styles: readonly Asset[], script: Asset | undefined): string[] {
  const parts = [
    "default-src 'none'",
    ...(script ? [`script-src ${sourceHash(script)}`] : []),
    `style-src ${styles.map(sourceHash).join(' ')}`,
    'img-src data:',
    "base-uri 'none'",
    "form-action 'none'",
  ];
  return [
    `<meta http-equiv="Content-Security-Policy" content="${parts.join('; ')}">`,
    '<meta name="referrer" content="no-referrer">',
  ];
}

/** A script or style as a policy admits it. */
export function sourceHash({ hash }: Asset): string {
  return `'sha256-${hash}'`;
}

/** `<` is written as an escape, so that no text can end the element. */
function dataScript(id: string, data: unknown): string {
  const json = JSON.stringify(data)
    .replace(/</g, '\\u003c')
    .replace(/\u2028|\u2029/g, ' ');
  return `<script type="application/json" id="${id}">${json}</script>`;
}
