import { existsSync, statSync } from 'node:fs';
import { join, posix } from 'node:path';
import { outputOf } from './pages.ts';

/** What the links of one page become in the site, and the files of the repository that have to go with it. */
export interface LinkResolver {
  /** Of a link as it is written; `null` where nothing stands there. */
  resolve(from: string, href: string): string | null;
  /** Of a path in the running text, such as `docs/firmware.md`; `null` where it names no page. */
  mentioned(from: string, text: string): string | null;
}

/** Schemes that lead out of the site. Nothing is fetched to check them. */
const outside = /^(https?|mailto):/;

export function linkResolver(
  root: string,
  pages: ReadonlySet<string>,
  files: Set<string>,
): LinkResolver {
  const relative = (from: string, to: string): string =>
    posix.relative(posix.dirname(outputOf(from)), to) || posix.basename(to);
  return {
    resolve(from, href) {
      if (outside.test(href) || href.startsWith('#')) return href;
      const [path = '', anchor] = href.split('#');
      const target = posix.join(posix.dirname(from), decodeURI(path));
      const tail = anchor === undefined ? '' : `#${anchor}`;
      if (pages.has(target)) return relative(from, outputOf(target)) + tail;
      const file = join(root, target);
      if (target.startsWith('..') || !existsSync(file) || !statSync(file).isFile()) return null;
      files.add(target);
      return relative(from, target) + tail;
    },
    mentioned(from, text) {
      if (!/^[\w./-]+\.md$/.test(text)) return null;
      const named = [text, posix.join(posix.dirname(from), text)].find((path) => pages.has(path));
      return named === undefined || named === from ? null : relative(from, outputOf(named));
    },
  };
}
