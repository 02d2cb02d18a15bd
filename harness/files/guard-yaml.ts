import { type CST, Lexer, Parser } from 'yaml';

/** Far above any real spec, lamp or rig file (a few kilobytes, five levels), far below what could hurt. */
export const yamlLimits = { bytes: 262_144, levels: 40, aliases: 100 } as const;

/** What makes a text unfit to be composed, and where (offset in the text). */
interface Danger {
  readonly offset: number;
  readonly message: string;
}

export type Tokens = { readonly tokens: readonly CST.Token[] } | { readonly danger: Danger };

/**
 * Takes a text apart into tokens, or says why it should not be composed: composing is recursive, and a text nested a
 * thousand levels deep can end the whole process. Lexemes come one at a time, so that a bad text is left at the first
 * level too many.
 */
export function tokenize(text: string): Tokens {
  const danger = findBinary(text);
  if (danger) return { danger };
  const parser = new Parser();
  const tokens: CST.Token[] = [];
  let offset = 0;
  for (const lexeme of new Lexer().lex(text)) {
    for (const token of parser.next(lexeme)) tokens.push(token);
    if (parser.stack.length > yamlLimits.levels) return { danger: tooDeep(offset) };
    // Lexemes of the lexer's own (document start, flow end, scalar start) take no room in the text.
    if (!/^[\u0002\u0018\u001f]$/.test(lexeme)) offset += lexeme.length;
  }
  for (const token of parser.end()) tokens.push(token);
  return { tokens };
}

function tooDeep(offset: number): Danger {
  const message = `nested more than ${yamlLimits.levels} levels deep; a spec, lamp or rig file needs fewer than ten`;
  return { offset, message };
}

function findBinary(text: string): Danger | null {
  if (text.length > yamlLimits.bytes) {
    const found = `${Math.ceil(text.length / 1024)} KiB`;
    const most = `expected at most ${yamlLimits.bytes / 1024} KiB`;
    return { offset: 0, message: `${most}, found ${found}; is this the right file?` };
  }
  if (text.includes('\ufffd')) {
    const message = 'expected UTF-8 text, found other bytes; save the file as UTF-8';
    return { offset: text.indexOf('\ufffd'), message };
  }
  const control = /[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f\ufffe\uffff]/.exec(text);
  if (!control) return null;
  const code = control[0].charCodeAt(0).toString(16).padStart(4, '0').toUpperCase();
  const message = `expected text, found the control character U+${code}; is this a binary file?`;
  return { offset: control.index, message };
}
