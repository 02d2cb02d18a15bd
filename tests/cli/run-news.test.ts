import { spawn } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { describe, expect, it } from 'vitest';
import { secret } from '../workflow/news/sample-news.ts';
import { evenfall } from './program.ts';
import { desk, dimmingSpec, recordIn, runsIn } from './small-specs.ts';

const specs = { 'specs/dims.spec.yaml': dimmingSpec('dims', ['50 %']) };
const keep = `import { readFileSync, writeFileSync } from 'node:fs';
writeFileSync('told.json', readFileSync(0, 'utf8'));
`;
const program = (on: string, command: string) =>
  `targets:\n  - { target: door, on: [${on}], program: { command: [${command}] } }\n`;
const node = JSON.stringify(process.execPath);

describe('run --news', () => {
  it('tells a program what became of the run, once it is stored', async () => {
    const news = program('pass', `${node}, keep.mjs`);
    const cwd = desk({ ...specs, 'news.yaml': news, 'keep.mjs': keep });
    const { exitCode, stderr } = await evenfall(
      ['run', '--build', '1.8.0', '--news', 'news.yaml'],
      {
        cwd,
      },
    );
    expect(exitCode, stderr).toBe(0);
    const [folder = ''] = runsIn(cwd);
    const { id } = recordIn(folder);
    expect(JSON.parse(readFileSync(join(cwd, 'told.json'), 'utf8'))).toMatchObject({
      ...{ of: 'run', id, lamp: 'alcove-6', build: '1.8.0', verdict: 'pass', ended: 'complete' },
      where: folder.slice(cwd.length + 1),
      open: [],
    });
  });

  it('names what failed, to those who want to hear of failures', async () => {
    const news = program('fail', `${node}, keep.mjs`);
    const dark =
      '  - { metric: level-ratio, of: warm, during: low, reference: full, at-most: 1 % }\n';
    const fails = { 'specs/dims.spec.yaml': dimmingSpec('dims', ['50 %'], dark) };
    const cwd = desk({ ...fails, 'news.yaml': news, 'keep.mjs': keep });
    expect((await evenfall(['run', '--news', 'news.yaml'], { cwd })).exitCode).toBe(1);
    const told = JSON.parse(readFileSync(join(cwd, 'told.json'), 'utf8'));
    expect(told).toMatchObject({ verdict: 'fail', open: [{ claim: 'dims', verdict: 'fail' }] });
  });

  it('warns where nobody was reached, and ends as the run does', async () => {
    const news = program('ended', `${node}, none.mjs`);
    const cwd = desk({ ...specs, 'news.yaml': news });
    const { exitCode, stderr } = await evenfall(['run', '--news', 'news.yaml'], { cwd });
    expect(exitCode).toBe(0);
    expect(stderr).toMatch(/news for door was not delivered: .* ended with 1/);
  });

  it('reads the file before anything is run', async () => {
    const cwd = desk({ ...specs, 'news.yaml': program('failed', 'x') });
    const { exitCode, stderr } = await evenfall(['run', '--news', 'news.yaml'], { cwd });
    expect(exitCode).toBe(65);
    expect(stderr).toContain('news.yaml:2:');
    expect(stderr).toContain('nothing was run');
    const missing = await evenfall(['run', '--news', 'none.yaml'], { cwd });
    expect(missing.exitCode).toBe(66);
  });
});

describe('the receiver in docs/news.md', () => {
  it('takes what is ours, and refuses what is not', async () => {
    const docs = readFileSync(resolve(import.meta.dirname, '../../docs/news.md'), 'utf8');
    const [, code = ''] = /```js\n([\s\S]*?)```/.exec(docs) ?? [];
    const cwd = desk({ ...specs, 'receiver.mjs': code });
    const env = { ...process.env, BOARD_SECRET: secret, PORT: '0' };
    const child = spawn(process.execPath, ['receiver.mjs'], { cwd, env });
    try {
      let said = '';
      const port = await new Promise<string>((done) => {
        child.stdout.on('data', (text: Buffer) => {
          said += text;
          const [, found] = /ready (\d+)/.exec(said) ?? [];
          if (found) done(found);
        });
      });
      const url = `http://127.0.0.1:${port}/evenfall`;
      writeFileSync(
        join(cwd, 'news.yaml'),
        `targets:\n  - { target: board, on: [ended], webhook: { url: "${url}", secret: { env: BOARD } } }\n`,
      );
      const run = (held: string) =>
        evenfall(['run', '--news', 'news.yaml'], { cwd, env: { BOARD: held } });
      const right = await run(secret);
      expect(right.stderr).not.toContain('not delivered');
      expect(said).toContain('alcove-6 reference: pass');
      const wrong = await run(`${secret}x`);
      expect(wrong.stderr).toContain('answered 403: not ours');
      expect(wrong.exitCode).toBe(0);
    } finally {
      child.kill();
    }
  });
});
