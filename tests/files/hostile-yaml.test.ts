import { describe, expect, it } from 'vitest';
import { readYaml } from '../../harness/files/read-yaml.ts';
import { renderIssues } from '../../harness/files/render-issues.ts';

function messages(text: string): string[] {
  return readYaml(text, 'x').issues.map(
    ({ line, column, message }) => `${line}:${column} ${message}`,
  );
}

describe('hostile YAML', () => {
  it('is left at the first level too many, again and again, without harm to the process', () => {
    const nested = [
      '['.repeat(60),
      '['.repeat(1000),
      '{a: '.repeat(1000),
      '- '.repeat(1000),
      '? '.repeat(1000),
      Array.from({ length: 400 }, (_, level) => `${' '.repeat(level)}a:\n`).join(''),
    ];
    for (const text of [...nested, ...nested]) {
      expect(messages(text)).toHaveLength(1);
      expect(messages(text)[0]).toMatch(/nested more than 40 levels deep/);
    }
  });

  it('may be nested as deep as any real file', () => {
    expect(messages(`a: ${'['.repeat(15)}${']'.repeat(15)}`)).toEqual([]);
  });

  it('is refused when its aliases multiply', () => {
    const bomb = ['a: &a [x, x, x, x, x, x, x, x, x]'];
    for (const [name, from] of ['ba', 'cb', 'dc', 'ed', 'fe', 'gf', 'hg', 'ih'].map((pair) => [
      ...pair,
    ]))
      bomb.push(`${name}: &${name} [${Array(9).fill(`*${from}`).join(', ')}]`);
    expect(messages(bomb.join('\n'))).toEqual([
      '1:1 aliases expand to more than 100 copies; write the values out',
    ]);
  });

  it('is refused when it is far too large, before it is looked at', () => {
    expect(messages('a: 1\n'.repeat(60_000))).toEqual([
      '1:1 expected at most 256 KiB, found 293 KiB; is this the right file?',
    ]);
  });

  it('tells of a key that stands there ten thousand times without taking for ever', () => {
    expect(messages('a: 1\n'.repeat(10_000))).toHaveLength(100);
  });

  it('is read with CRLF and a byte order mark, and places stay right', () => {
    const read = readYaml('\ufeffa: 1\r\nb:\r\n  c: 2\r\n', 'x');
    expect(read.yaml?.value).toEqual({ a: 1, b: { c: 2 } });
    const issue = read.yaml!.issue(['b', 'c'], 'wrong');
    expect(issue).toMatchObject({ line: 3, column: 6, excerpt: '  c: 2', length: 1 });
  });

  it('cannot reach into the prototype', () => {
    const read = readYaml('__proto__: { polluted: true }\nconstructor: 1\n', 'x');
    expect(({} as Record<string, unknown>)['polluted']).toBeUndefined();
    expect(Object.keys(read.yaml?.value as object)).toContain('__proto__');
  });

  it('follows an alias to the place that is meant', () => {
    const read = readYaml('a: &a { x: 1 }\nb: *a\n', 'x');
    expect(read.yaml!.issue(['b', 'x'], 'wrong')).toMatchObject({ line: 1, column: 12 });
  });
});

describe('renderIssues', () => {
  it('shows place, sentence, line and caret, and no colour where none is wanted', () => {
    const { yaml } = readYaml('a: 1\nb: { c: twenty }\n', 'x.spec.yaml');
    const issue = yaml!.issue(['b', 'c'], 'expected a number, found the text "twenty"');
    expect(renderIssues([issue], { colour: false })).toBe(
      [
        'x.spec.yaml:2:9: b.c: expected a number, found the text "twenty"',
        '  2 | b: { c: twenty }',
        '    |         ^^^^^^',
        '',
      ].join('\n'),
    );
  });

  it('cuts a long line around the place', () => {
    const text = `a: [${'x, '.repeat(100)}here, ${'y, '.repeat(100)}z]`;
    const { yaml } = readYaml(text, 'x');
    const shown = renderIssues([yaml!.issue(['a', 100], 'wrong')], { colour: false }).split('\n');
    expect(shown[1]!.length).toBeLessThan(110);
    expect(shown[1]!.slice(shown[2]!.indexOf('^'), shown[2]!.lastIndexOf('^') + 1)).toBe('here');
  });
});
