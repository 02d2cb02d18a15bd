import { posix } from 'node:path';
import { type Chapter, outputOf, type Page } from './pages.ts';

/** The whole page around what Markdown made. */
export function pageHtml(page: Page, chapters: readonly Chapter[], body: string): string {
  const toRoot = posix.relative(posix.dirname(outputOf(page.source)), '.') || '.';
  const at = (path: string): string => `${toRoot}/${path}`;
  const contents = contentsHtml(page, chapters, at, placesOf(body));
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${escaped(page.title)}${page.source === 'README.md' ? '' : ' – Evenfall'}</title>
<link rel="icon" href="data:,">
<link rel="stylesheet" href="${at('site.css')}">
<script src="${at('site.js')}" defer></script>
</head>
<body>
<a class="skip" href="#text">To the text</a>
<header>
<a class="name" href="${at('index.html')}">Evenfall</a>
<form role="search" hidden data-root="${toRoot}">
<input type="search" aria-label="Words to look for" placeholder="Look for words" autocomplete="off">
</form>
</header>
<section id="found" aria-live="polite" hidden></section>
<details class="contents"><summary>Contents</summary>
<nav aria-label="Contents, folded">${contents}</nav></details>
<div class="spread">
<nav class="contents" aria-label="Contents">${contents}</nav>
<main id="text">
${scrolling(body)}
${onwards(page, chapters, at)}
<p class="source">From <code>${escaped(page.source)}</code></p>
</main>
</div>
</body>
</html>
`;
}

function contentsHtml(
  page: Page,
  chapters: readonly Chapter[],
  at: (path: string) => string,
  places: string,
): string {
  return chapters
    .map(({ title, pages }) => {
      const items = pages.map((other) => {
        const isHere = other.source === page.source;
        const current = isHere ? ' aria-current="page"' : '';
        const href = at(outputOf(other.source));
        return `<li><a href="${href}"${current}>${escaped(other.title)}</a>${isHere ? places : ''}</li>`;
      });
      return `<p>${escaped(title)}</p><ul>${items.join('')}</ul>`;
    })
    .join('\n');
}

/** The headings of the page itself, below its title. */
function placesOf(body: string): string {
  const items = [...body.matchAll(/<h2 id="([^"]*)">(.*?)<\/h2>/gs)].map(
    ([, id = '', heading = '']) =>
      `<li><a href="#${id}">${heading.replace(/<\/?a\b[^>]*>/g, '')}</a></li>`,
  );
  return items.length > 1 ? `<ul>${items.join('')}</ul>` : '';
}

/** The page before and the one behind it. */
function onwards(page: Page, chapters: readonly Chapter[], at: (path: string) => string): string {
  const all = chapters.flatMap(({ pages }) => pages);
  const place = all.findIndex(({ source }) => source === page.source);
  const link = (other: Page | undefined, words: string): string =>
    other
      ? `<a href="${at(outputOf(other.source))}">${words}: ${escaped(other.title)}</a>`
      : '<span></span>';
  return `<p class="onwards">${link(all[place - 1], 'Before')}${link(all[place + 1], 'Next')}</p>`;
}

/** Wide tables scroll by themselves, so that the page does not. */
function scrolling(body: string): string {
  return body
    .replaceAll('<table>', '<div class="wide" tabindex="0"><table>')
    .replaceAll('</table>', '</table></div>')
    .replaceAll('<pre>', '<pre tabindex="0">');
}

function escaped(text: string): string {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('"', '&quot;');
}
