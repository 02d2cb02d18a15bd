import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { makeSite } from '../../build/docs/make-site.ts';
import { chapters } from '../../build/docs/pages.ts';
import { slugOf } from '../../build/docs/slug.ts';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'evenfall-site-'));
});
afterEach(() => rmSync(folder, { recursive: true }));

const listed = chapters.flatMap(({ pages }) => pages.map(({ source }) => source));

describe('the documentation site', () => {
  it('is made of every listed page, and no link of it leads nowhere', async () => {
    const { pages, broken } = await makeSite('.', chapters, folder);
    expect(broken).toEqual([]);
    expect(pages).toBe(listed.length);
  });

  it('lists each page once, and every page of docs/', () => {
    expect(listed).toEqual([...new Set(listed)]);
    const there = readdirSync('docs', { recursive: true, encoding: 'utf8' })
      .filter((name) => name.endsWith('.md'))
      .map((name) => `docs/${name.replaceAll('\\', '/')}`);
    expect(there.length).toBeGreaterThan(10);
    expect(there.filter((page) => !listed.includes(page))).toEqual([]);
  });
});

describe('a site of two pages', () => {
  const write = (name: string, text: string): void => {
    mkdirSync(dirname(join(folder, 'in', name)), { recursive: true });
    writeFileSync(join(folder, 'in', name), text);
  };
  const make = () => {
    const pages = ['README.md', 'docs/two.md'].map((source) => ({ source, title: source }));
    return makeSite(join(folder, 'in'), [{ title: 'All', pages }], join(folder, 'out'));
  };
  const made = (name: string): string => readFileSync(join(folder, 'out', name), 'utf8');

  it('leads from page to page, to places in them, and to files that come along', async () => {
    write(
      'README.md',
      '# One\n\n[two](docs/two.md#the-place), [lamp](specs/a.yaml), `docs/two.md`',
    );
    write(
      'docs/two.md',
      '# Two\n\n## The place\n\n[one](../README.md), {{ kept }} and <b>seen</b>',
    );
    write('specs/a.yaml', 'lamp: nook');
    expect(await make()).toEqual({ pages: 2, broken: [] });
    expect(made('index.html')).toContain('href="docs/two.html#the-place"');
    expect(made('index.html')).toContain('<a href="docs/two.html"><code>docs/two.md</code></a>');
    expect(made('docs/two.html')).toContain('href="../index.html"');
    expect(made('docs/two.html')).toContain('{{ kept }} and &lt;b&gt;seen&lt;/b&gt;');
    expect(made('specs/a.yaml')).toBe('lamp: nook');
  });

  it('names each link that leads nowhere: no file, no place, out of the repository', async () => {
    write('README.md', '# One\n\n[gone](docs/gone.md) [out](../../etc/passwd) [no](docs/two.md#x)');
    write('docs/two.md', '# Two\n\n[here](#nowhere) ![picture](none.png)');
    const { broken } = await make();
    expect([...broken].sort()).toEqual([
      'README.md: nothing stands at ../../etc/passwd',
      'README.md: nothing stands at docs/gone.md',
      'docs/two.html: docs/two.html has no place called nowhere, to which #nowhere leads',
      'docs/two.html: no file for the link to none.png',
      'docs/two.md: nothing stands at none.png',
      'index.html: docs/two.html has no place called x, to which docs/two.html#x leads',
      'index.html: no file for the link to ../../etc/passwd',
      'index.html: no file for the link to docs/gone.md',
    ]);
  });
});

it('calls places as forges do', () => {
  const taken = new Set<string>();
  expect(slugOf('Stored runs, comparison, sign-off', taken)).toBe(
    'stored-runs-comparison-sign-off',
  );
  expect(slugOf('How to add …', taken)).toBe('how-to-add-');
  expect(slugOf('Limits', taken)).toBe('limits');
  expect(slugOf('Limits', taken)).toBe('limits-1');
});
