import { join, resolve } from 'node:path';
import { parseArgs } from 'node:util';
import { makeSite } from './make-site.ts';
import { chapters } from './pages.ts';

/** `npm run docs [-- --out FOLDER]`: the documentation as pages that open from disk. Ends with 1 where a link leads nowhere. */
const { values } = parseArgs({ options: { out: { type: 'string', default: 'site' } } });
const root = resolve(import.meta.dirname, '../..');
const out = resolve(values.out);
const { pages, broken } = await makeSite(root, chapters, out);
process.stdout.write(`${pages} pages: ${join(out, 'index.html')}\n`);
for (const sentence of broken) process.stderr.write(`${sentence}\n`);
if (broken.length > 0) process.exitCode = 1;
