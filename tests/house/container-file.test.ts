import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';

/** The instructions of the container file, lines that go on put together. */
const instructions = readFileSync('Dockerfile', 'utf8')
  .replace(/\\\n/g, ' ')
  .split('\n')
  .filter((line) => line.trim() !== '' && !line.startsWith('#'))
  .map((line) => {
    const [word = '', ...rest] = line.trim().split(/\s+/);
    return { word, rest };
  });

/** The packages of Debian that the images and the tests may ask for. */
const debian: ReadonlySet<string> = new Set([
  ...Array.from(
    readFileSync('tests/set-up.ts', 'utf8').matchAll(/debian: '([^']+)'/g),
    ([, names = '']) => names.split(' '),
  ).flat(),
]);

function aptPackages(rest: readonly string[]): string[] {
  const begin = rest.indexOf('install');
  if (!rest.includes('apt-get') || begin < 0) return [];
  const end = rest.indexOf('&&', begin);
  return rest.slice(begin + 1, end < 0 ? undefined : end).filter((word) => !word.startsWith('-'));
}

describe('the container file', () => {
  it('has a slim image to run and a full one to test, of a Node that is named', () => {
    const stages = instructions.filter(({ word }) => word === 'FROM').map(({ rest }) => rest);
    expect(stages.map(([, , name]) => name)).toEqual(['build', 'run', 'test']);
    for (const [image] of stages) expect(image).toMatch(/^node:\d+-bookworm(-slim)?$/);
    expect(stages[1]?.[0]).toMatch(/-slim$/);
  });

  it('copies only what is here, or what an earlier stage can have made of it', () => {
    const copies = instructions.filter(({ word }) => word === 'COPY').map(({ rest }) => rest);
    const sources = copies.flatMap((rest) =>
      rest.filter((word) => !word.startsWith('--')).slice(0, -1),
    );
    expect(sources.length).toBeGreaterThan(10);
    const made = ['node_modules', 'dist'];
    for (const source of sources) {
      const path = source.replace(/^\/evenfall\//, '');
      if (!made.includes(path)) expect(existsSync(path), source).toBe(true);
    }
    const { files } = JSON.parse(readFileSync('package.json', 'utf8')) as { files: string[] };
    const inRun = copies.filter(([from]) => from === '--from=build').flat();
    for (const name of ['dist', 'specs', 'docs']) {
      expect(files).toContain(name);
      expect(inRun).toContain(`/evenfall/${name}`);
    }
  });

  it('installs packages of Debian that are known, and for tests all that they drive', () => {
    const asked = instructions
      .map(({ rest }) => aptPackages(rest))
      .filter((list) => list.length > 0);
    expect(asked).toHaveLength(1);
    for (const name of asked.flat()) expect(debian, name).toContain(name);
    expect(asked.at(-1)?.toSorted()).toEqual([...debian].toSorted());
  });

  it('runs Evenfall without the rights of root', () => {
    const words = instructions.map(({ word, rest }) => `${word} ${rest.join(' ')}`);
    const run = words.slice(words.findIndex((line) => line.endsWith('AS run')));
    expect(run.indexOf('USER node')).toBeLessThan(run.indexOf('ENTRYPOINT ["evenfall"]'));
    expect(run).toContain('USER node');
  });
});
