import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { pathToFileURL } from 'node:url';
import vm from 'node:vm';
import { build } from 'esbuild';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import * as measureExports from '../../harness/exports/measure.ts';
import { metrics } from '../../harness/measure/metrics.ts';
import { launchChromium } from '../browser/chromium.ts';
import { writeRig } from '../cli/emulated-rig.ts';
import { desk, dimmingSpec, recordIn, runsIn } from '../cli/small-specs.ts';
import { openTestEmulation } from '../drivers/emulate/open-test-bench.ts';
import {
  compiler,
  type PackedProduct,
  runIn,
  unpackProduct,
  writeExamples,
} from './packed-product.ts';

/** Packing and compiling on a busy machine, ms. */
const patience = 600_000;

let product: PackedProduct;
beforeAll(() => {
  product = unpackProduct();
  writeExamples('drivers.md', product.folder);
  writeExamples('library.md', product.folder);
}, patience);
afterAll(() => product.remove());

describe('the packed product', () => {
  it('has the program, the exports with their types, the docs, and no sources', () => {
    const { files } = product;
    expect(files).toEqual(
      expect.arrayContaining([
        'dist/main.js',
        ...['driver', 'measure', 'record'].flatMap((name) => [
          `dist/exports/${name}.js`,
          `dist/exports/${name}.d.ts`,
        ]),
        'docs/drivers.md',
        'drivers/program/README.md',
        'specs/README.md',
        'README.md',
        'LICENSE',
      ]),
    );
    const rooms = /^(harness|tests|build|node_modules)\b.*\.(?!md$)\w+$/;
    expect(files.filter((name) => rooms.test(name))).toEqual([]);
    expect(files.filter((name) => /(?<!\.d)\.ts$/.test(name))).toEqual([]);
  });

  it('has every file that its docs link to', () => {
    const { folder, files } = product;
    const links = files
      .filter((name) => name.endsWith('.md'))
      .flatMap((name) => {
        const text = readFileSync(join(folder, 'node_modules/evenfall', name), 'utf8');
        const hrefs = text.replace(/```.*?```/gs, '').matchAll(/\]\(([^)\s#]+)[^)]*\)/g);
        return [...hrefs].map(([, href = '']) => ({ name, href }));
      })
      .filter(({ href }) => !/^(https?|mailto):/.test(href));
    expect(links.length).toBeGreaterThan(100);
    const nowhere = links.filter(({ name, href }) => !files.includes(join(dirname(name), href)));
    expect(nowhere).toEqual([]);
  });

  it('runs by its name', async () => {
    const npx = ['npx', '--no-install', 'evenfall', '--help'];
    const { exitCode, stdout, stderr } = await runIn(product.folder, npx);
    expect(exitCode, stderr).toBe(0);
    expect(stdout).toMatch(/^to call it: evenfall COMMAND/m);
  });

  it('keeps the rest of the house to itself', async () => {
    const asked = ['evenfall', 'evenfall/dist/main.js', 'evenfall/harness/bench/ports.ts'];
    for (const name of asked) {
      const load = [
        process.execPath,
        '-e',
        `import('${name}').catch(({code}) => console.log(code))`,
      ];
      expect((await runIn(product.folder, load)).stdout.trim()).toBe(
        'ERR_PACKAGE_PATH_NOT_EXPORTED',
      );
    }
  });

  it('gives a page no more of an export than it takes', async () => {
    const taking = async (text: string) => (await bundled(text)).length;
    expect(await taking(`import 'evenfall/measure';`)).toBeLessThan(100);
    const one = await taking(`export { BenchError } from 'evenfall/driver';`);
    const all = await taking(`export * from 'evenfall/driver';`);
    expect(one).toBeLessThan(1600);
    expect(all).toBeGreaterThan(5 * one);
    const metric = await taking(
      `export { flickerIndex, measureWaveform } from 'evenfall/measure';`,
    );
    expect(await taking(`export * from 'evenfall/measure';`)).toBeGreaterThan(4 * metric);
  });

  it('exports each metric by its own name', () => {
    const exported: readonly unknown[] = Object.values(measureExports);
    expect(metrics.filter((metric) => !exported.includes(metric))).toEqual([]);
  });

  it('measures the same in a browser as in Node', async () => {
    const code = `
      import { measureWaveform, metrics } from 'evenfall/measure';
      const rate = 20_000;
      const samples = Float64Array.from({ length: 2 * rate }, (_, k) =>
        200 * (1 + 0.1 * Math.sin((2 * Math.PI * 100 * k) / rate) + 0.02 * Math.sin((2 * Math.PI * 8.8 * k) / rate)));
      const waveform = { samples, rate, start: 0, unit: 'lx', clipped: 0 };
      globalThis.measured = JSON.stringify(metrics.map((metric) => {
        const parameters = Object.fromEntries(metric.parameters.filter(({ key }) => key === 'at').map(({ key }) => [key, 100]));
        try {
          return [metric.id, measureWaveform(metric, { waveform, parameters })];
        } catch (error) {
          return [metric.id, String(error)];
        }
      }));`;
    const script = await bundled(code);
    const here = vm.createContext({});
    vm.runInContext(script, here);
    const browser = await launchChromium();
    try {
      const page = await browser.newPage();
      await page.addScriptTag({ content: script });
      const there: unknown = JSON.parse(String(await page.evaluate('measured')));
      expect(there).toEqual(JSON.parse(String(here['measured']), almost));
    } finally {
      await browser.close();
    }
    expect(String(here['measured']).match(/"measured":true/g)?.length).toBeGreaterThan(15);
  });
});

/** Two engines may round a sine differently. */
function almost(_: string, value: unknown): unknown {
  if (typeof value !== 'number' || value === 0) return value;
  return expect.closeTo(value, Math.min(300, 9 - Math.floor(Math.log10(Math.abs(value)))));
}

/** A script for a page, of what a file in the folder of the product would import. */
async function bundled(text: string): Promise<string> {
  const { outputFiles } = await build({
    stdin: { contents: text, resolveDir: product.folder },
    ...{ bundle: true, write: false, minify: true, logLevel: 'error' },
    format: 'esm',
    platform: 'browser',
  });
  return outputFiles[0]?.text ?? '';
}

describe('a project in a firmware repository', { timeout: patience }, () => {
  const evenfall = (...args: readonly string[]) =>
    runIn(product.folder, ['npx', '--no-install', 'evenfall', ...args]);

  it('is told of new project, which lays one out', async () => {
    const none = await evenfall('run');
    expect(none).toMatchObject({ exitCode: 66, stdout: '' });
    expect(none.stderr).toContain('evenfall new project');
    const { exitCode, stdout, stderr } = await evenfall('new', 'project', '--channels', '3');
    expect(exitCode, stderr).toBe(0);
    expect(stdout).toMatch(/^lamp my-lamp: 3 channels; console\nwritten:\n/);
    const lamp = readFileSync(join(product.folder, 'my-lamp.lamp.yaml'), 'utf8');
    const [, schema = ''] = /^# yaml-language-server: \$schema=(\S+)\n/.exec(lamp) ?? [];
    expect(existsSync(join(product.folder, schema))).toBe(true);
  });

  it('passes the quick claims, with no error of the bench', async () => {
    const { exitCode, stdout, stderr } = await evenfall('run', '--tag', 'commit', '--quiet');
    expect(exitCode, stdout + stderr).toBe(0);
    expect(stdout).toMatch(/^(\d+) claims: ● \1 pass, stored in reports\//);
  });

  it('builds the small firmware, and passes with it', async () => {
    const made = await runIn(product.folder, ['make', '-s', '-C', 'firmware']);
    expect(made.exitCode, made.stderr).toBe(0);
    const build = ['--firmware', 'firmware/build/lamp.wasm', '--quiet'];
    const only = ['--only', 'fades-on-time', '--only', 'crossfade-arrives-together'];
    const { exitCode, stdout, stderr } = await evenfall('run', ...only, ...build);
    expect(exitCode, stdout + stderr).toBe(0);
  });

  it('is as the library that it came from, and names that library from anywhere', async () => {
    expect((await evenfall('library', 'diff')).exitCode).toBe(0);
    const { exitCode, stdout } = await evenfall('check', 'library:fading');
    expect(exitCode).toBe(0);
    expect(stdout).toContain('no issues');
  });
});

describe('a driver outside of the repository, by the docs', { timeout: patience }, () => {
  beforeAll(async () => {
    const { exitCode, stdout } = await runIn(product.folder, compiler);
    expect(exitCode, stdout).toBe(0);
  }, patience);

  it('keeps every promise of its port', async () => {
    const test = [process.execPath, 'conformance.js'];
    const { exitCode, stdout, stderr } = await runIn(product.folder, test);
    expect(exitCode, stderr).toBe(0);
    const outcomes = stdout
      .trim()
      .split('\n')
      .map((line) => line.split(':')[0]);
    expect(outcomes.length).toBeGreaterThan(8);
    expect(new Set(outcomes)).toEqual(new Set(['kept']));
  });

  it.each([
    ['takes any order', `if (answer !== 'OK')`, 'if (false)', /beyond the limit .*refuse/i],
    ['is never off', `output === 'ON'`, 'true', /reads back as on/],
    ['stays open', 'this.#closing.abort();', '', /After close\(\)/],
  ])('that %s is found out', async (_, sound, broken, promise) => {
    const driver = readFileSync(join(product.folder, 'halden-supply.js'), 'utf8');
    expect(driver).toContain(sound);
    writeFileSync(join(product.folder, 'halden-broken.js'), driver.replace(sound, broken));
    const test = readFileSync(join(product.folder, 'conformance.js'), 'utf8');
    writeFileSync(
      join(product.folder, 'conformance-broken.js'),
      test.replace('./halden-supply.js', './halden-broken.js'),
    );
    const command = [process.execPath, 'conformance-broken.js'];
    const { exitCode, stderr } = await runIn(product.folder, command);
    expect(exitCode).toBe(1);
    expect(stderr).toMatch(promise);
  });

  it('does not compile where it leaves a promise of its port out', async () => {
    const file = join(product.folder, 'halden-supply.ts');
    const driver = readFileSync(file, 'utf8');
    writeFileSync(file, driver.replace('async output(', 'async put('));
    const { exitCode, stdout } = await runIn(product.folder, [...compiler, '--noEmit']);
    writeFileSync(file, driver);
    expect(exitCode).not.toBe(0);
    expect(stdout).toMatch(/'output' is missing/);
  });

  it('holds the supply of a run that passes, and its record is read', async () => {
    const { startSupply } = await import(pathToFileURL(join(product.folder, 'instrument.js')).href);
    const emulation = await openTestEmulation();
    const supply = await startSupply((volts: number) => {
      if (volts > 0) void emulation.live.setSource(volts);
      void emulation.live.setPower(volts > 0);
    });
    try {
      const own = readFileSync(join(product.folder, 'bench.rig.yaml'), 'utf8');
      const [entry = ''] = /^ {2}supply:\n(?: {4}.*\n)+/m.exec(own) ?? [];
      const local = entry
        .replace('./halden-supply.js', join(product.folder, 'halden-supply.js'))
        .replace('192.0.2.8', '127.0.0.1')
        .replace('7025', String(supply.port));
      expect(local).toMatch(/halden-supply\.js\n.*127\.0\.0\.1\n/);
      const cwd = desk({ 'specs/dims.spec.yaml': dimmingSpec('dims', ['60 %'], '', '250 ms') });
      const rig = writeRig(emulation, cwd, (text) =>
        text.replace(/^ {2}supply:\n(?: {4}.*\n)+/m, local),
      );
      const program = [
        process.execPath,
        join(product.folder, 'node_modules/evenfall/dist/main.js'),
      ];
      const env = { EVENFALL_LOCKS: join(cwd, 'locks') };
      const run = await runIn(cwd, [...program, 'run', 'specs', '--rig', rig], env);
      expect(run.exitCode, run.stdout + run.stderr).toBe(0);
      const [stored = ''] = runsIn(cwd);
      const { verdict, rig: found } = recordIn(stored);
      expect(verdict).toBe('pass');
      expect(found.instruments).toContainEqual(
        expect.objectContaining({ identity: expect.objectContaining({ serial: 'S1-0007' }) }),
      );
      const read = [process.execPath, join(product.folder, 'record.js'), join(stored, 'run.json')];
      const told = await runIn(product.folder, read);
      expect(told.stdout, told.stderr).toMatch(/: pass\ndims .* level-ratio of warm: 0\.[56]/);
    } finally {
      supply.close();
      await emulation.close();
    }
  });

  it('measures by the metrics alone', async () => {
    const { stdout, stderr } = await runIn(product.folder, [process.execPath, 'measure.js']);
    expect(stdout.trim(), stderr).toBe('0.100');
  });
});
