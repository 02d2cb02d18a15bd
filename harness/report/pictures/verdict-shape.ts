import type { Verdict } from '../../verdict/verdict.ts';
import { type Html, html } from '../html/html.ts';

/** The verdict as a drawn shape about a point: disc, triangle, half disc, cross, ring, dash. The same shapes as `verdictMark`. */
export function verdictShape(verdict: Verdict, x: number, y: number, r: number): Html {
  const disc = `M${x - r} ${y}a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0z`;
  switch (verdict) {
    case 'pass':
      return html`<path class="mark" d="${disc}"></path>`;
    case 'fail': {
      const triangle = `M${x} ${y - r * 1.2}l${r * 1.2} ${r * 2.1}h${-r * 2.4}z`;
      return html`<path class="mark" d="${triangle}"></path>`;
    }
    case 'inconclusive': {
      const half = `M${x} ${y - r}a${r} ${r} 0 0 0 0 ${2 * r}z`;
      return html`
        <g>
          <path class="mark hollow" d="${disc}"></path>
          <path class="mark" d="${half}"></path>
        </g>`;
    }
    case 'error': {
      const a = r * 0.9;
      const cross = `M${x - a} ${y - a}l${2 * a} ${2 * a}M${x - a} ${y + a}l${2 * a} ${-2 * a}`;
      return html`<path class="mark stroke" d="${cross}"></path>`;
    }
    case 'not run':
      return html`<path class="mark hollow" d="${disc}"></path>`;
    case 'not applicable':
      return html`<path class="mark stroke" d="M${x - r} ${y}h${2 * r}"></path>`;
  }
}

/** Shape and word side by side, for the margin of a line. */
export function verdictLabel(verdict: Verdict): Html {
  return html`
    <span class="verdict ${verdictClass(verdict)}">
      <svg class="shape" viewBox="0 0 14 14" aria-hidden="true">${verdictShape(verdict, 7, 7, 5)}</svg>
      ${verdict}
    </span>`;
}

/** What style sheets call a verdict. */
export function verdictClass(verdict: Verdict): string {
  return verdict.replace(' ', '-');
}
