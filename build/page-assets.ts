import { createHash } from 'node:crypto';
import { readFileSync, renameSync, writeFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { build } from 'esbuild';

const report = resolve(import.meta.dirname, '../harness/report');
/** Made, not kept: see .gitignore. Its types stand beside it in assets.d.ts. */
const target = resolve(report, 'html/assets.js');

/** What pages carry inside themselves, by the name under which `html/assets.d.ts` declares it. */
const sources: Readonly<Record<string, string>> = {
  runPageScript: 'script/run-page.ts',
  liveRunScript: 'script/live-run.ts',
  labScript: 'script/lab.ts',
  pageStyle: 'style/page.css',
  archiveStyle: 'style/archive.css',
  challengeStyle: 'style/challenge.css',
  releaseReportStyle: 'style/release-report.css',
};

/** Bundles the scripts and styles of pages into one module of texts: the report room itself reads no files. */
export async function makePageAssets(): Promise<void> {
  const assets = await Promise.all(
    Object.entries(sources).map(async ([name, file]) => {
      const text = await bundled(resolve(report, file));
      return `export const ${name} = ${JSON.stringify({ text, hash: sha256(text) })};\n`;
    }),
  );
  replaceFile(target, assets.join(''));
}

async function bundled(file: string): Promise<string> {
  const { outputFiles } = await build({
    entryPoints: [file],
    bundle: true,
    write: false,
    minify: true,
    format: 'iife',
    target: ['chrome110', 'firefox115', 'safari16'],
    charset: 'ascii',
    legalComments: 'none',
  });
  const text = outputFiles.map((output) => output.text).join('');
  // The text stands inside <script> or <style>: an end tag in it would end the element.
  return text.trim().replace(/<\/(script|style)/gi, '<\\/$1');
}

function sha256(text: string): string {
  return createHash('sha256').update(text).digest('base64');
}

/** Whole or not at all, and only when it differs: another process may be reading it. */
function replaceFile(file: string, text: string): void {
  if (readIfThere(file) === text) return;
  const draft = `${file}.${process.pid}`;
  writeFileSync(draft, text);
  renameSync(draft, file);
}

function readIfThere(file: string): string | null {
  try {
    return readFileSync(file, 'utf8');
  } catch {
    return null;
  }
}
