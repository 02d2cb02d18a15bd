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
  report: ['units', 'measure', 'verdict', 'files', 'record'],
  archive: ['units', 'measure', 'verdict', 'record', 'files'],
  drivers: ['units', 'measure', 'files', 'bench'],
  workflow: [
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
    'archive',
    'drivers',
  ],
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
    'workflow',
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

/** The files that a file imports. */
function targets(file: string): string[] {
  return imports(file)
    .filter((name) => name.startsWith('.'))
    .map((name) => resolve(dirname(file), name));
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

  it('keeps options, colours and the console out of workflow', () => {
    const words = /from 'commander'|from 'picocolors'|\bconsole\.|process\.exitCode|exitCodes/;
    const broken = files
      .filter((file) => roomOf(file) === 'workflow')
      .filter((file) => words.test(readFileSync(file, 'utf8')))
      .map((file) => relative(root, file));
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

  it('lets the layers of the measurement import only what lies below them', () => {
    const layers: Readonly<Record<string, readonly string[]>> = {
      signal: [],
      colorimetry: [],
      terms: ['signal'],
      analysis: ['signal', 'terms'],
      subject: ['signal', 'terms', 'analysis'],
      features: ['signal', 'colorimetry', 'terms', 'analysis', 'subject'],
      charts: ['signal', 'colorimetry', 'terms', 'analysis', 'features'],
      metrics: ['signal', 'colorimetry', 'terms', 'analysis', 'subject', 'features', 'charts'],
    };
    /** The words that all layers share (metric, observation, outcome …) stand beside the folders; so does the registry. */
    const layerOf = (file: string): string => {
      const [folder = '', ...inner] = relative(join(root, 'harness/measure'), file).split('/');
      return inner.length > 0 ? folder : folder === 'metrics.ts' ? 'registry' : 'terms';
    };
    const broken = files
      .filter((file) => roomOf(file) === 'measure' && layerOf(file) !== 'registry')
      .flatMap((file) => targets(file).map((target) => ({ file, target })))
      .filter(({ target }) => roomOf(target) === 'measure')
      .filter(({ file, target }) => layerOf(file) !== layerOf(target))
      .filter(({ file, target }) => !layers[layerOf(file)]?.includes(layerOf(target)))
      .map(({ file, target }) => `${relative(root, file)} imports ${relative(root, target)}`);
    expect(broken).toEqual([]);
  });

  it('keeps metrics in the folder of their family, and out of each other', () => {
    const folder = join(root, 'harness/measure/metrics');
    const inFolder = files.filter((file) => file.startsWith(`${folder}/`));
    expect(
      inFolder.flatMap((file) => targets(file).filter((target) => inFolder.includes(target))),
    ).toEqual([]);
    for (const file of inFolder) {
      const families = readFileSync(file, 'utf8').matchAll(/^ *family: '(.*)',$/gm);
      const [family] = relative(folder, file).split('/');
      expect(new Set(Array.from(families, (match) => match[1]))).toEqual(new Set([family]));
    }
  });

  it('lets nothing but the analysis know of errors given to records', () => {
    const knowing = join(root, 'harness/measure/analysis/disturbed-waveform.ts');
    const users = files.filter((file) => targets(file).includes(knowing));
    expect(users.length).toBeGreaterThan(5);
    expect(users.filter((file) => dirname(file) !== dirname(knowing))).toEqual([]);
  });
});
