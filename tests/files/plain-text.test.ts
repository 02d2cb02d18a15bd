import { expect, test } from 'vitest';
import { plainLine, plainText } from '../../harness/files/plain-text.ts';

test('an escape sequence goes whole', () => {
  expect(plainLine('a\u001b[31;1mb\u001b[0m\u001b]0;title\u0007c')).toBe('abc');
});

test('C0, C1, direction marks and non-characters go; line ends and tabs stay in a text', () => {
  expect(plainText('a\u0000\u0008b\u0085\u009bc\u202e\u2066d\ufffe\n\te\r\nf')).toBe(
    'abcd\n\te\nf',
  );
});

test('a line holds no line end', () => {
  expect(plainLine(' a\r\nb\n\nc\td ')).toBe('a b c d');
});

test('half a surrogate pair is replaced, a whole one stays', () => {
  expect(plainLine('\ud83d\ude00 \ud800 \udc00')).toBe('\u{1f600} \ufffd \ufffd');
});
