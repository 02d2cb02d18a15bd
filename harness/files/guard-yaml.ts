import { Lexer, Parser } from 'yaml';

/** Far above any real spec, lamp or rig file (a few kilobytes, five levels), far below what could hurt. */
export const yamlLimits = { bytes: 262_144, levels: 40, aliases: 100 } as const;

/** What makes a text unfit to be given to the parser, and where (offset in the text). */
export interface Danger {
  readonly offset: number;
  readonly message: string;
}

/**
 * Looks at a text before it is composed: composing is recursive, and a text nested a thousand levels deep can end the
 * whole process. The tokens come one at a time, so that a bad text is left at the first level too many.
 */
export function findDanger(text: string): Danger | null {
  if (text.length > yamlLimits.bytes) {
    const found = `${Math.ceil(text.length / 1024)} KiB`;
    return {
      offset: 0,
      message: `expected at most ${yamlLimits.bytes / 1024} KiB, found ${found}; is this the right file?`,
    };
  }
  const control = /[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f\ufffe\uffff]/.exec(text);
  if (control) {
    const code = control[0].charCodeAt(0).toString(16).padStart(4, '0');
    return {
      offset: control.index,
      message: `expected text, found the control character U+${code.toUpperCase()}; is this a binary file?`,
    };
  }
  return findDepth(text);
}

function findDepth(text: string): Danger | null {
  const parser = new Parser();
  let offset = 0;
  for (const lexeme of new Lexer().lex(text)) {
    for (const _ of parser.next(lexeme));
    // Lexemes of the lexer's own (document start, flow end, scalar start) take no room in the text.
    if (!/^[\u0002\u0018\u001f\ufeff]$/.test(lexeme)) offset += lexeme.length;
    if (parser.stack.length > yamlLimits.levels) {
      return {
        offset: Math.max(0, offset - lexeme.length),
        message: `nested more than ${yamlLimits.levels} levels deep; a spec, lamp or rig file needs fewer than ten`,
      };
    }
  }
  return null;
}
