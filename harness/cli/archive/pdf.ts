import { existsSync } from 'node:fs';
import { html } from '../../report/html/html.ts';
import { Complaint } from '../../workflow/complaint.ts';
import type { Io } from '../common/io.ts';

const usualPlaces = ['/usr/bin/chromium', '/usr/bin/chromium-browser'];

/** The Chromium of this machine: CHROMIUM_PATH, or where Debian puts it. */
function chromiumPath(env: Io['env']): string {
  const asked = env['CHROMIUM_PATH'];
  const path = asked ? asked : usualPlaces.find((place) => existsSync(place));
  if (path && existsSync(path)) return path;
  const found = asked
    ? `no file at CHROMIUM_PATH (${asked})`
    : `none in ${usualPlaces.join(' or ')}`;
  throw new Complaint(
    'unreachable',
    `a PDF needs the Chromium browser, found ${found}; install it (apt-get install chromium) or set CHROMIUM_PATH to its program`,
  );
}

/**
 * Prints an HTML text on A4 with `footer` and the page's number at the foot of every page. The browser has no network:
 * the text must stand for itself.
 *
 * @param isNumbered the style of the page numbers its sheets already, at the right
 */
export async function printPdf(
  html: string,
  footer: string,
  env: Io['env'],
  isNumbered = false,
): Promise<Uint8Array> {
  const executablePath = chromiumPath(env);
  // Half a second to load, and only this command needs it.
  const { chromium } = await import('playwright-core');
  const browser = await chromium
    .launch({ executablePath, args: ['--no-sandbox'] })
    .catch((error: Error) => {
      const why = error.message.split('\n')[0];
      const text = `expected Chromium at ${executablePath} to start, but it did not: ${why}`;
      throw new Complaint('unreachable', text, { cause: error });
    });
  try {
    const page = await browser.newPage({ javaScriptEnabled: false, offline: true });
    await page.setContent(html, { waitUntil: 'load' });
    return await page.pdf({
      format: 'A4',
      margin: { top: '16mm', right: '15mm', bottom: '20mm', left: '15mm' },
      displayHeaderFooter: true,
      headerTemplate: '<span></span>',
      footerTemplate: footerTemplate(footer, isNumbered),
      printBackground: true,
      tagged: true,
      outline: true,
    });
  } finally {
    await browser.close();
  }
}

function footerTemplate(footer: string, isNumbered: boolean): string {
  const style = `font: 7pt sans-serif; color: #4a473f; width: 100%; padding: 0 ${isNumbered ? '32mm' : '15mm'} 0 15mm; display: flex; justify-content: space-between; gap: 5mm`;
  const numbers =
    !isNumbered &&
    html`<span>page <span class="pageNumber"></span> of <span class="totalPages"></span></span>`;
  return html`<div style="${style}"><span>${footer}</span>${numbers}</div>`.toString();
}
