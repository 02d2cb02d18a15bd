import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative, resolve } from 'node:path';
import { describe, expect, it } from 'vitest';

const root = resolve(import.meta.dirname, '..');

/** Room -> rooms that it may import. What is not named is forbidden; DEVELOPERS.md gives the reasons. */
const law: Readonly<Record<string, readonly string[]>> = {
  units: [],
  measure: ['units'],
  verdict: ['units', 'measure'],
  files: ['units'],
  bench: ['units', 'measure', 'files'],
  plan: ['units', 'measure', 'verdict', 'files', 'bench'],
  'spec-language': ['units', 'measure', 'verdict', 'files', 'bench', 'plan'],
  preflight: ['units', 'measure', 'verdict', 'bench', 'plan'],
  record: ['units', 'measure', 'verdict'],
  run: ['units', 'measure', 'verdict', 'files', 'bench', 'plan', 'record'],
  report: ['units', 'measure', 'verdict', 'record'],
  archive: ['units', 'measure', 'verdict', 'record', 'files'],
  drivers: ['units', 'measure', 'files', 'bench'],
  cli: [
    'units',
    'measure',
    'verdict',
    'files',
    'bench',
    'plan',
    'spec-language',
    'preflight',
    'record',
    'run',
    'report',
    'archive',
    'drivers',
  ],
};

/** Rooms that must not know where they run. */
const pure = [
  'units',
  'measure',
  'verdict',
  'files',
  'plan',
  'spec-language',
  'preflight',
  'record',
  'report',
];

function sources(folder: string): string[] {
  return readdirSync(join(root, folder), { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.ts'))
    .map((name) => join(root, folder, name));
}

function imports(file: string): string[] {
  const text = readFileSync(file, 'utf8');
  const found = text.matchAll(
    /(?:^|\n)\s*(?:import|export)\s[^;]*?from\s+'([^']+)'|import\(\s*'([^']+)'\s*\)|(?:^|\n)import\s+'([^']+)'/g,
  );
  return [...found].map((match) => match[1] ?? match[2] ?? match[3] ?? '');
}

function roomOf(file: string): string {
  const [top, room] = relative(root, file).split('/');
  return top === 'drivers' ? 'drivers' : (room ?? '');
}

const files = [...sources('harness'), ...sources('drivers')];

describe('import law', () => {
  it('finds the sources and their imports', () => {
    expect(files.length).toBeGreaterThan(50);
    expect(imports(join(root, 'harness/cli/main.ts'))).toContain('./commands.ts');
  });

  it('lets every room import only what it may', () => {
    const broken = files.flatMap((file) =>
      imports(file)
        .filter((name) => name.startsWith('.'))
        .map((name) => resolve(dirname(file), name))
        .filter((target) => /\/(harness|drivers)\//.test(target))
        .filter((target) => roomOf(target) !== roomOf(file))
        .filter((target) => !law[roomOf(file)]?.includes(roomOf(target)))
        .map((target) => `${relative(root, file)} imports ${relative(root, target)}`),
    );
    expect(broken).toEqual([]);
  });

  it('keeps Node out of the pure rooms', () => {
    const broken = files
      .filter((file) => pure.includes(roomOf(file)))
      .flatMap((file) =>
        imports(file)
          .filter((name) => name.startsWith('node:'))
          .map((name) => `${relative(root, file)} imports ${name}`),
      );
    expect(broken).toEqual([]);
  });

  it('keeps clocks and verdict words out of the measurement', () => {
    const words = /\bDate\b|performance\.now|\bsetTimeout\b|['"](pass|fail|inconclusive)['"]/;
    const broken = files
      .filter((file) => roomOf(file) === 'measure')
      .filter((file) => words.test(readFileSync(file, 'utf8')))
      .map((file) => relative(root, file));
    expect(broken).toEqual([]);
  });

  it('keeps drivers out of each other, but for the links, codecs and transports they share', () => {
    const shared = ['console', 'dali', 'dmx', 'sacn', 'transport'];
    const driverOf = (file: string): string => relative(root, file).split('/')[1] ?? '';
    const broken = files
      .filter((file) => roomOf(file) === 'drivers' && relative(root, file).split('/').length > 2)
      .flatMap((file) =>
        imports(file)
          .filter((name) => name.startsWith('.'))
          .map((name) => resolve(dirname(file), name))
          .filter((target) => roomOf(target) === 'drivers')
          .map((target) => driverOf(target))
          .filter(
            (driver) =>
              driver !== driverOf(file) && !shared.includes(driver) && !driver.endsWith('.ts'),
          )
          .map((driver) => `${relative(root, file)} imports driver ${driver}`),
      );
    expect(broken).toEqual([]);
  });
});
