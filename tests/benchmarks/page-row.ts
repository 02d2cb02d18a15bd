import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { renderPage } from '../../harness/report/pages/run/run-page.ts';
import { launchChromium } from '../browser/chromium.ts';
import { bigRecord, bigTraces } from '../report/big-record.ts';
import { type Missing, type Row, timed } from './row.ts';

const name = 'run page with 3,000 findings';

/** From asking for the page until its claims can be read, and its size. */
export async function pageRows(runs: number): Promise<(Row | Missing)[]> {
  const record = bigRecord();
  const html = renderPage({ record, traces: bigTraces(record) });
  const size: Row = {
    name: `${name}: size`,
    unit: 'MB',
    figures: [Buffer.byteLength(html) / 1e6],
    yardstick: 'the most allowed',
    beside: [3],
    kind: 'cost',
    goal: 1,
  };
  const folder = mkdtempSync(join(tmpdir(), 'evenfall-bench-'));
  try {
    const file = join(folder, 'index.html');
    writeFileSync(file, html);
    const browser = await launchChromium();
    const figures: number[] = [];
    for (let run = 0; run < runs; run++) {
      const page = await browser.newPage();
      figures.push(
        await timed(async () => {
          await page.goto(pathToFileURL(file).href, { waitUntil: 'load' });
          await page.evaluate(() => new Promise((done) => requestAnimationFrame(done)));
        }),
      );
      await page.close();
    }
    await browser.close();
    const yardstick = 'two seconds';
    const beside = [2];
    const opens: Row = {
      name: `${name}: opens`,
      unit: 's',
      figures,
      yardstick,
      beside,
      kind: 'cost',
      goal: 1,
    };
    return [opens, size];
  } catch (error) {
    return [{ name: `${name}: opens`, missing: (error as Error).message }, size];
  } finally {
    rmSync(folder, { recursive: true });
  }
}
