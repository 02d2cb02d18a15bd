import pc from 'picocolors';
import type { Verdict } from '../../verdict/verdict.ts';

type Style = Verdict | 'bold';
export type Paint = (style: Style, text: string) => string;

const pens = {
  bold: 'bold',
  pass: 'green',
  fail: 'red',
  inconclusive: 'yellow',
  error: 'magenta',
  'not run': 'dim',
  'not applicable': 'dim',
} as const satisfies Record<Style, string>;

/** Colours for a terminal, where the caller has decided for them; a verdict is told by shape and word besides. */
export function painter(colour: boolean): Paint {
  const colours = pc.createColors(colour);
  return (style, text) => colours[pens[style]](text);
}
