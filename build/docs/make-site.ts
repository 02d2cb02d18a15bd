/// <reference path="./eleventy.d.ts" />
import { copyFileSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join, relative, resolve } from 'node:path';
import Eleventy from '@11ty/eleventy';
import { build } from 'esbuild';
import { brokenLinks } from './broken-links.ts';
import { pageHtml } from './layout.ts';
import { linkResolver } from './links.ts';
import { amendMarkdown } from './markdown.ts';
import { type Chapter, outputOf } from './pages.ts';
import { type Section, sectionsOf } from './sections.ts';

export interface MadeSite {
  readonly pages: number;
  /** A sentence for each link that leads nowhere. */
  readonly broken: readonly string[];
}

/** What every page carries besides itself; all of it is made here. */
const own = ['site.css', 'site.js', 'search-sections.js'];

/** Builds the pages of `chapters`, read below `root`, into the folder `out`, which is emptied before. */
export async function makeSite(
  root: string,
  chapters: readonly Chapter[],
  out: string,
): Promise<MadeSite> {
  const rendered = await render(root, chapters);
  const { pages, files, sections } = rendered;
  const broken = [...rendered.broken, ...brokenLinks(pages, new Set([...files, ...own]))];
  rmSync(out, { recursive: true, force: true });
  const write = (path: string, content: string): void => {
    mkdirSync(dirname(join(out, path)), { recursive: true });
    writeFileSync(join(out, path), content);
  };
  for (const [path, html] of pages) write(path, html);
  for (const file of files) {
    mkdirSync(dirname(join(out, file)), { recursive: true });
    copyFileSync(join(root, file), join(out, file));
  }
  write('search-sections.js', `globalThis.siteSections = ${JSON.stringify(sections)};\n`);
  await build({
    entryPoints: { site: resolve(import.meta.dirname, 'script/site.ts') },
    outdir: out,
    bundle: true,
    minify: true,
    format: 'iife',
    target: ['chrome110', 'firefox115', 'safari16'],
    legalComments: 'none',
  });
  copyFileSync(resolve(import.meta.dirname, 'site.css'), join(out, 'site.css'));
  return { pages: pages.size, broken };
}

interface Rendered {
  /** HTML by its path in the site. */
  readonly pages: ReadonlyMap<string, string>;
  /** Files of the repository that pages link to. */
  readonly files: ReadonlySet<string>;
  readonly sections: readonly Section[];
  readonly broken: readonly string[];
}

async function render(root: string, chapters: readonly Chapter[]): Promise<Rendered> {
  const listed = chapters.flatMap(({ pages }) => pages);
  const files = new Set<string>();
  const sections: Section[] = [];
  const broken: string[] = [];
  const links = linkResolver(root, new Set(listed.map(({ source }) => source)), files);
  // Eleventy reads no folder here: its pages are handed over one by one, from wherever they stand.
  const empty = mkdtempSync(join(tmpdir(), 'evenfall-docs-'));
  const pathOf = (outputPath: string): string =>
    relative(empty, resolve(outputPath)).replaceAll('\\', '/');
  const site = new Eleventy(empty, empty, {
    quietMode: true,
    config(configuration) {
      configuration.setUseGitIgnore(false);
      configuration.amendLibrary('md', (markdown) => amendMarkdown(markdown, links, broken));
      for (const { source } of listed) {
        const text = readFileSync(join(root, source), 'utf8');
        configuration.addTemplate(source, text, {
          source,
          permalink: outputOf(source),
          // Nothing but Markdown: braces in examples are the reader's.
          templateEngineOverride: 'md',
        });
      }
      configuration.addTransform('page', function (content) {
        const path = pathOf(this.page.outputPath);
        const page = listed.find(({ source }) => outputOf(source) === path);
        if (!page) throw new Error(`expected a page of the table of contents, found ${path}`);
        sections.push(...sectionsOf(path, page.title, content));
        return pageHtml(page, chapters, content);
      });
    },
  });
  try {
    const made = await site.toJSON();
    const pages = new Map(made.map(({ outputPath, content }) => [pathOf(outputPath), content]));
    return { pages, files, sections, broken };
  } finally {
    rmSync(empty, { recursive: true });
  }
}
