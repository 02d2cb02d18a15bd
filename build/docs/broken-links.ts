import { posix } from 'node:path';

/**
 * A sentence for each link of the made pages that leads nowhere: no such file in the site, or no such place in the page.
 * `pages` are HTML by their path in the site, `files` what else stands there.
 */
export function brokenLinks(
  pages: ReadonlyMap<string, string>,
  files: ReadonlySet<string>,
): string[] {
  const places = new Map([...pages].map(([path, html]) => [path, placesOf(html)]));
  return [...pages].flatMap(([path, html]) =>
    hrefsOf(html).flatMap((href) => {
      const [to = '', anchor] = href.split('#');
      const target = to === '' ? path : posix.join(posix.dirname(path), to);
      const there = places.get(target);
      if (!there) return files.has(target) ? [] : [`${path}: no file for the link to ${href}`];
      if (anchor === undefined || there.has(decodeURIComponent(anchor))) return [];
      return [`${path}: ${target} has no place called ${anchor}, to which ${href} leads`];
    }),
  );
}

function hrefsOf(html: string): string[] {
  return [...html.matchAll(/ (?:href|src)="([^"]*)"/g)]
    .map(([, href = '']) => href.replaceAll('&amp;', '&'))
    .filter((href) => !/^(https?|mailto|data):/.test(href));
}

function placesOf(html: string): Set<string> {
  return new Set([...html.matchAll(/ id="([^"]*)"/g)].map(([, id = '']) => id));
}
