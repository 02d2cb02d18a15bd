import { expect, test } from 'vitest';
import {
  blanked,
  forTerminal,
  markedLine,
  plainLine,
  plainText,
} from '../../harness/files/plain-text.ts';

test('an escape sequence goes whole', () => {
  expect(plainLine('a\u001b[31;1mb\u001b[0m\u001b]0;title\u0007c')).toBe('abc');
});

test('C0, C1, direction marks and non-characters go; line ends and tabs stay in a text', () => {
  expect(plainText('a\u0000\u0008b\u0085\u0091c\u202e\u2066d\ufffe\n\te\r\nf')).toBe(
    'abcd\n\te\nf',
  );
});

test('a line holds no line end', () => {
  expect(plainLine(' a\r\nb\n\nc\td ')).toBe('a b c d');
});

test('half a surrogate pair is replaced, a whole one stays', () => {
  expect(plainLine('\ud83d\ude00 \ud800 \udc00')).toBe('\u{1f600} \ufffd \ufffd');
});

test('a blanked line keeps its columns', () => {
  expect(blanked('a\u001bb\u202ec\td')).toBe('a b c d');
});

test('a terminal gets our own colours and clearing, and no other command', () => {
  const own =
    '\r\u001b[2K\u001b[31m1 failed\u001b[39m\n\u001b[1mbold\u001b[22m\u001b[2mdim\u001b[0m';
  expect(forTerminal(own)).toBe(own);
  expect(forTerminal('a\u001b[8mhidden\u001b[7A\u001b]0;title\u0007\u009b2J\u202eb\rc')).toBe(
    'ahiddenbc',
  );
});

test('a marked line tells which characters are in the way', () => {
  expect(markedLine('cla\u202eim\u001b[8m\u009bx\nnext')).toBe(
    'cla<U+202E>im<U+001B>[8m<U+009B>x next',
  );
});
