import type { Traced } from '../../../record/traced.ts';
import { html } from '../../html/html.ts';
import { capital } from '../../words/prose.ts';
import { coveredText } from '../../words/trace-words.ts';
import { renderSheet } from '../archive/sheet.ts';
import { traceMatrix } from './trace-matrix.ts';

export interface TracePageSource {
  readonly lamp: string;
  /** Null where no run of the lamp is stored. */
  readonly build: string | null;
  readonly traced: Traced;
  /** The file that lists the requirements. */
  readonly listed: string;
  /** Which runs count, in a sentence. */
  readonly counted: string;
}

/** Requirements, their claims and what the newest run of each says, as one HTML file without any script or request. */
export function renderTracePage({ lamp, build, traced, listed, counted }: TracePageSource): string {
  const title = build === null ? `${lamp}: requirements` : `${lamp}, build ${build}: requirements`;
  const body = [
    html`<p class="lead">${coveredText(traced)}.</p>`,
    html`<p class="aside">${capital(counted)}</p>`,
    traceMatrix(traced, { hrefOf: () => null, listed }),
  ];
  return renderSheet({ title, body });
}
