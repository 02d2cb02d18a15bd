import type { Verdict } from '../../verdict/verdict.ts';
import { element, type Markup } from '../html/markup.ts';

/** The verdict as a drawn shape about a point: disc, triangle, half disc, cross, ring. The same shapes as `verdictMark`. */
export function verdictShape(verdict: Verdict, x: number, y: number, size: number): Markup {
  const r = size;
  const disc = `M${x - r} ${y}a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0z`;
  switch (verdict) {
    case 'pass':
      return element('path', { class: 'mark', d: disc });
    case 'fail':
      return element('path', {
        class: 'mark',
        d: `M${x} ${y - r * 1.2}l${r * 1.2} ${r * 2.1}h${-r * 2.4}z`,
      });
    case 'inconclusive':
      return element(
        'g',
        {},
        element('path', { class: 'mark hollow', d: disc }),
        element('path', { class: 'mark', d: `M${x} ${y - r}a${r} ${r} 0 0 0 0 ${2 * r}z` }),
      );
    case 'error': {
      const a = r * 0.9;
      return element('path', {
        class: 'mark stroke',
        d: `M${x - a} ${y - a}l${2 * a} ${2 * a}M${x - a} ${y + a}l${2 * a} ${-2 * a}`,
      });
    }
    case 'not run':
      return element('path', { class: 'mark hollow', d: disc });
  }
}

/** Shape and word side by side, for the margin of a line. */
export function verdictLabel(verdict: Verdict): Markup {
  return element(
    'span',
    { class: `verdict ${verdict.replace(' ', '-')}` },
    element(
      'svg',
      { class: 'shape', viewBox: '0 0 14 14', 'aria-hidden': 'true' },
      verdictShape(verdict, 7, 7, 5),
    ),
    verdict,
  );
}
