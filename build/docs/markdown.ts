/// <reference path="./eleventy.d.ts" />
import type { MarkdownIt, Token } from '@11ty/eleventy';
import type { LinkResolver } from './links.ts';
import { slugOf } from './slug.ts';

/** Anchors at headings, links that lead to pages of the site, tables that scroll where the screen is narrow. */
export function amendMarkdown(markdown: MarkdownIt, links: LinkResolver, broken: string[]): void {
  // Raw HTML would look different in a plain viewer.
  markdown.set({ html: false });
  markdown.core.ruler.push('evenfall', ({ tokens, env, Token: Made }) => {
    const from = env.source;
    anchorHeadings(tokens);
    for (const token of tokens) {
      if (!token.children) continue;
      for (const child of token.children) follow(child, from, links, broken);
      token.children = linkMentions(token.children, from, links, Made);
    }
  });
}

function anchorHeadings(tokens: readonly Token[]): void {
  const taken = new Set<string>();
  for (const [k, token] of tokens.entries()) {
    if (token.type !== 'heading_open') continue;
    const text = (tokens[k + 1]?.children ?? []).map(({ content }) => content).join('');
    token.attrSet('id', slugOf(text, taken));
  }
}

function follow(token: Token, from: string, links: LinkResolver, broken: string[]): void {
  const name = token.type === 'link_open' ? 'href' : token.type === 'image' ? 'src' : null;
  const written = name && token.attrGet(name);
  if (!name || !written) return;
  const found = links.resolve(from, written);
  if (found === null) broken.push(`${from}: nothing stands at ${written}`);
  else token.attrSet(name, found);
}

/** `docs/firmware.md` in the running text leads to that page. */
function linkMentions(
  children: readonly Token[],
  from: string,
  links: LinkResolver,
  Made: new (type: string, tag: string, nesting: number) => Token,
): Token[] {
  let depth = 0;
  return children.flatMap((token) => {
    if (token.type === 'link_open') depth++;
    if (token.type === 'link_close') depth--;
    const target =
      token.type === 'code_inline' && depth === 0 ? links.mentioned(from, token.content) : null;
    if (target === null) return [token];
    const open = new Made('link_open', 'a', 1);
    open.attrSet('href', target);
    return [open, token, new Made('link_close', 'a', -1)];
  });
}
