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
  // It finds mistakes of drivers and firmware, so that it must not share code with them.
  model: ['units', 'measure', 'bench'],
  plan: ['units', 'measure', 'verdict', 'files', 'bench'],
  'spec-language': ['units', 'measure', 'verdict', 'files', 'bench', 'plan'],
  explore: ['units', 'measure', 'files', 'bench', 'model', 'plan'],
  preflight: ['units', 'measure', 'verdict', 'bench', 'plan'],
  record: ['units', 'measure', 'verdict'],
  diagnose: ['units', 'measure', 'verdict', 'record'],
  run: ['units', 'measure', 'verdict', 'files', 'bench', 'model', 'plan', 'record'],
  report: ['units', 'measure', 'verdict', 'files', 'record', 'diagnose'],
  archive: ['units', 'measure', 'verdict', 'record', 'files'],
  drivers: ['units', 'measure', 'files', 'bench'],
  workflow: [
    'units',
    'measure',
    'verdict',
    'files',
    'bench',
    'model',
    'plan',
    'spec-language',
    'explore',
    'preflight',
    'record',
    'diagnose',
    'run',
    'archive',
    'drivers',
  ],
  exports: ['units', 'measure', 'record', 'bench', 'drivers'],
  lab: [
    ...['units', 'verdict', 'files', 'bench', 'plan', 'record', 'run', 'archive', 'drivers'],
    'workflow',
  ],
  cli: [
    'units',
    'measure',
    'verdict',
    'files',
    'bench',
    'model',
    'plan',
    'spec-language',
    'explore',
    'preflight',
    'record',
    'diagnose',
    'run',
    'report',
    'archive',
    'drivers',
    'workflow',
    'lab',
  ],
};

/**
 * Driver folder -> folders that it may import. `common` are the files beside the folders that say what a driver is;
 * `composition` are those that list and open drivers. sACN carries DMX512 slots; DALI bridges and web pages answer with
 * lines as a console does; the plant decodes on its side of each link what the protocol encodes on the other.
 */
const driverLaw: Readonly<Record<string, readonly string[]>> = {
  common: [],
  transport: ['common'],
  'link-base': ['common', 'transport'],
  console: ['common', 'transport', 'link-base'],
  dali: ['common', 'transport', 'link-base', 'console'],
  dmx: ['common', 'transport', 'link-base'],
  sacn: ['common', 'transport', 'link-base', 'dmx'],
  webpage: ['common', 'transport', 'console'],
  camera: ['common', 'transport'],
  program: ['common', 'transport'],
  recording: ['common'],
  scpi: ['common', 'transport'],
  plant: ['common', 'transport', 'link-base', 'console', 'dali', 'dmx', 'sacn'],
  // It sees ports only, so that it can hold anybody's driver to them.
  conformance: [],
  composition: [
    ...['common', 'transport', 'console', 'dali', 'dmx', 'sacn', 'webpage', 'camera', 'program'],
    ...['recording', 'scpi', 'plant'],
  ],
};
const composition = ['open-rig.ts', 'own-driver.ts', 'registry.ts'];

function driverOf(file: string): string {
  const [folder = '', ...inner] = relative(join(root, 'drivers'), file).split('/');
  if (inner.length > 0) return folder;
  if (folder === 'link-base.ts') return 'link-base';
  return composition.includes(folder) ? 'composition' : 'common';
}

/** Rooms that must not know where they run. */
const pure = [
  'units',
  'measure',
  'verdict',
  'files',
  'model',
  'plan',
  'spec-language',
  'explore',
  'preflight',
  'record',
  'diagnose',
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

  it.each([
    ['rooms', law],
    ['drivers', driverLaw],
  ])('has no circle: %s import only what the law names before them', (_, table) => {
    const names = Object.keys(table);
    const backwards = names.flatMap((name, place) =>
      (table[name] ?? []).filter((other) => names.indexOf(other) >= place),
    );
    expect(backwards).toEqual([]);
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

  it('keeps drivers out of each other, but for the protocols and transports they share', () => {
    const broken = files
      .filter((file) => roomOf(file) === 'drivers')
      .flatMap((file) => targets(file).map((target) => ({ file, target })))
      .filter(({ target }) => roomOf(target) === 'drivers')
      .filter(({ file, target }) => driverOf(file) !== driverOf(target))
      .filter(({ file, target }) => !driverLaw[driverOf(file)]?.includes(driverOf(target)))
      .map(({ file, target }) => `${relative(root, file)} imports ${relative(root, target)}`);
    expect(broken).toEqual([]);
  });

  it('names every driver folder in the law', () => {
    const folders = readdirSync(join(root, 'drivers'), { withFileTypes: true })
      .filter((entry) => entry.isDirectory())
      .map(({ name }) => name);
    expect(folders.filter((name) => !(name in driverLaw))).toEqual([]);
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
