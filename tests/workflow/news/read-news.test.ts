import { chmodSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { isFor } from '../../../harness/workflow/news/deliver.ts';
import { parseNews, readNews } from '../../../harness/workflow/news/read-news.ts';
import { news, secret } from './sample-news.ts';

let cwd: string;
beforeEach(() => {
  cwd = mkdtempSync(join(tmpdir(), 'evenfall-news-'));
});
afterEach(() => rmSync(cwd, { recursive: true, force: true }));

const mail = 'mail: { from: bench@example.com, to: [team@example.com] }';
const webhook = (held: string) => `webhook: { url: "https://example.com/x", secret: ${held} }`;
const target = (what: string, more = '') =>
  `targets:\n  - { target: one, on: [fail], ${more}${what} }\n`;

function issuesOf(text: string): string[] {
  const read = parseNews(text, 'news.yaml');
  if (!('issues' in read)) return [];
  return read.issues.map(({ line, column, message }) => `${line}:${column} ${message}`);
}

function read(text: string, env: Record<string, string> = {}) {
  writeFileSync(join(cwd, 'news.yaml'), text);
  return readNews('news.yaml', { cwd, env });
}

describe('a news file', () => {
  it('names targets of the three kinds, and what is not said has its usual value', () => {
    const { targets, folder } = read(target(mail, 'lamps: [alcove-6], '));
    expect(folder).toBe(cwd);
    expect(targets).toEqual([
      {
        ...{ target: 'one', on: ['fail'], lamps: ['alcove-6'] },
        mail: {
          ...{ from: 'bench@example.com', to: ['team@example.com'] },
          ...{ host: 'localhost', port: 25, within: 30 },
        },
      },
    ]);
    const program = read(target('program: { command: [python3, door.py], within: 5 s }'));
    expect(program.targets[0]?.program).toEqual({ command: ['python3', 'door.py'], within: 5 });
  });

  it.each([
    [
      target(`${mail}, program: { command: [x] }`),
      '2:5',
      'exactly one of program, webhook and mail',
    ],
    [target('lamps: [a]'), '2:5', 'exactly one of program, webhook and mail'],
    [target(mail).replace('[fail]', '[broken]'), '2:25', 'inconclusive'],
    [target(mail).replace('team@example.com', 'team at home'), '', 'mail address'],
    [target(mail).replace('bench@example.com', '"a@b\\nBcc: c@d"'), '', 'mail address'],
    [target(webhook('hunter2hunter2hunter2')), '', '{ env: NAME } or { file: PATH }'],
    [target(webhook('{ env: X }').replace('https://', 'https://me:word@')), '', 'password'],
    [target(webhook('{ env: X }').replace('https', 'ftp')), '', 'https://example.com/evenfall'],
    [target(mail).replace('target: one', 'target: one, colour: red'), '', 'colour'],
    [`${target(mail)}${target(mail).split('\n')[1]}\n`, '3:', 'one is there twice'],
    ['targets: []\n', '1:', ''],
  ])('is refused with the place of each mistake: %#', (text, place, words) => {
    const issues = issuesOf(text);
    expect(issues.length).toBeGreaterThan(0);
    expect(issues.join('\n')).toContain(words);
    expect(issues[0]).toMatch(new RegExp(`^${place}`));
  });

  it('says before the run which secret is missing, and never what one is', () => {
    const text = target(webhook('{ env: BOARD }'));
    expect(() => read(text)).toThrow('in the environment variable BOARD, found none');
    expect(() => read(text, { BOARD: 'short-word' })).toThrow('at least 16 bytes');
    expect(() => read(text, { BOARD: 'short-word' })).not.toThrow('short-word');
    expect(read(text, { BOARD: secret }).targets).toHaveLength(1);
  });

  it('takes a secret from a file that nobody else may read', () => {
    const text = target(webhook('{ file: board.secret }'));
    expect(() => read(text)).toThrow('cannot read its secret');
    writeFileSync(join(cwd, 'board.secret'), `${secret}\n`);
    chmodSync(join(cwd, 'board.secret'), 0o644);
    expect(() => read(text)).toThrow('chmod 600 board.secret');
    chmodSync(join(cwd, 'board.secret'), 0o600);
    expect(read(text).targets).toHaveLength(1);
  });
});

describe('who hears of it', () => {
  const wants = (more: object) => isFor(news, { target: 'one', on: ['fail'], ...more });

  it('goes by verdict, lamp and tags', () => {
    expect(wants({})).toBe(true);
    expect(wants({ on: ['pass', 'error'] })).toBe(false);
    expect(wants({ on: ['ended'] })).toBe(true);
    expect(wants({ lamps: ['alcove-1'] })).toBe(false);
    expect(wants({ lamps: ['alcove-1', 'alcove-6'] })).toBe(true);
    expect(wants({ tags: ['commit'] })).toBe(false);
    expect(wants({ tags: ['commit', 'nightly'] })).toBe(true);
  });

  it('where it ended without a verdict is who wants to hear of every end', () => {
    const none = { ...news, verdict: null };
    expect(isFor(none, { target: 'one', on: ['ended'] })).toBe(true);
    expect(isFor(none, { target: 'one', on: ['fail', 'error'] })).toBe(false);
  });
});
