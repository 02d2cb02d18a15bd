import { createHash } from 'node:crypto';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';
import { expect, test } from 'vitest';

/**
 * The scripts and styles of pages are typed modules and style sheets under harness/report; the report room reads no
 * files, so they are kept bundled as strings in html/assets.ts. That file is held here as a golden file: after a change
 * to the page, `npx vitest run tests/report/html/assets.test.ts -u` writes it anew.
 */
test('the page carries the script and the style that its sources give', async () => {
  const texts = {
    pageScript: await bundled('script/run-page.ts'),
    pageStyle: await bundled('style/page.css'),
    reportStyle: await bundled('style/release-report.css'),
    liveScript: await bundled('script/live-run.ts'),
    viewStyle: await bundled('style/archive.css'),
  };
  await expect(assetsModule(texts)).toMatchFileSnapshot('../../../harness/report/html/assets.ts');
});

async function bundled(file: string): Promise<string> {
  const result = await build({
    entryPoints: [fileURLToPath(new URL(`../../../harness/report/${file}`, import.meta.url))],
    bundle: true,
    write: false,
    minify: true,
    lineLimit: 120,
    format: 'iife',
    target: ['chrome110', 'firefox115', 'safari16'],
    charset: 'ascii',
    legalComments: 'none',
  });
  // The text stands inside <script> or <style>: an end tag in it would end the element.
  return result.outputFiles[0]!.text.trim().replace(/<\/(script|style)/gi, '<\\/$1');
}

function assetsModule(texts: Readonly<Record<string, string>>): string {
  return [
    '// biome-ignore-all format: generated',
    '// biome-ignore-all lint: generated',
    '/** Written by tests/report/html/assets.test.ts from harness/report/script and style; see there how to renew it. */',
    ...Object.entries(texts).flatMap(([name, text]) => [
      `export const ${name}: string = ${stringLiteral(text)};`,
      `export const ${name}Hash = '${sha256(text)}';`,
    ]),
    '',
  ].join('\n');
}

/** A line of text a line of code, so that a change shows as the lines that it changes. */
function stringLiteral(text: string): string {
  const lines = text.split('\n').map((line) => `  ${JSON.stringify(line)},`);
  return ['[', ...lines, "].join('\\n')"].join('\n');
}

function sha256(text: string): string {
  return createHash('sha256').update(text).digest('base64');
}
