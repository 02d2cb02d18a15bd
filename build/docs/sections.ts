/** A stretch of a page under one heading: what the search finds. */
export interface Section {
  readonly id: string;
  readonly page: string;
  readonly heading: string;
  readonly text: string;
}

/** The sections of a page's HTML as Markdown made it. */
export function sectionsOf(path: string, page: string, body: string): Section[] {
  return body
    .split(/(?=<h[1-4] id=)/)
    .map((part) => {
      const [, anchor, heading = ''] = /^<h[1-4] id="([^"]*)">(.*?)<\/h/s.exec(part) ?? [];
      const text = plain(part.replace(/^<h[1-4].*?<\/h\d>/s, ''));
      const id = anchor === undefined ? path : `${path}#${anchor}`;
      return { id, page, heading: plain(heading) || page, text };
    })
    .filter(({ text, heading }) => text !== '' || heading !== page);
}

function plain(html: string): string {
  return html
    .replace(/<[^>]*>/g, ' ')
    .replaceAll('&lt;', '<')
    .replaceAll('&gt;', '>')
    .replaceAll('&quot;', '"')
    .replaceAll('&amp;', '&')
    .replace(/\s+/g, ' ')
    .trim();
}
