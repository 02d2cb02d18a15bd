import type { Tally } from './tally.ts';

export interface Row {
  readonly name: string;
  readonly cells: readonly { readonly kind: string; readonly tally: Tally }[];
}

/** Markdown: `coverage % / above % / width` in each cell; what cannot be measured says why. */
export function tableHead(kinds: readonly string[]): string {
  const head = ['scene', ...kinds];
  return lineOf(head) + lineOf(head.map(() => '---'));
}

export function tableLine({ name, cells }: Row): string {
  return lineOf([name, ...cells.map(({ tally }) => cell(tally))]);
}

function lineOf(cells: readonly string[]): string {
  return `| ${cells.join(' | ')} |\n`;
}

function cell({ runs, measured, covered, above, width, floor, refused }: Tally): string {
  if (measured === 0) return `– (${refused ?? 'nothing'})`;
  const part = measured < runs ? ` (${percent(1 - measured / runs)} refused)` : '';
  return `${percent(covered)} / ${percent(above)} / ${shownWidth(width, floor)}${part}`;
}

function percent(part: number): string {
  return (100 * part).toFixed(part > 0 && part < 0.01 ? 1 : 0);
}

/** Beyond this there is no real scatter: the error is the computation's own, or none. */
const wide = 99;
/** Where U is far wider than the errors and this part of its square is what the record could not have shown, it is a floor. */
const mostly = 0.5;
const usual = 3;

function shownWidth(width: number, floor: number): string {
  if (width > usual && floor > mostly) return 'floor';
  return width > wide || !Number.isFinite(width) ? 'no error' : width.toFixed(1);
}
