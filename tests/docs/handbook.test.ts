import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { handbook } from '../../build/docs/handbook/handbook.ts';
import { reference } from '../../build/docs/reference/reference.ts';
import { driverNames } from '../../drivers/registry.ts';
import { commands } from '../../harness/cli/commands.ts';
import { guides } from '../../harness/cli/help/guides.ts';
import { metrics } from '../../harness/measure/metrics.ts';

const stale = 'older than what it is made from: npm run handbook';

let files: ReadonlyMap<string, string>;
beforeAll(async () => {
  files = await handbook(process.cwd());
});

/** Every file of a folder is as it is made now, and no other stands there. */
function expectMade(folder: string, made: ReadonlyMap<string, string>): void {
  const kept = readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .map((name) => name.replaceAll('\\', '/'))
    .filter((name) => /\.\w+$/.test(name));
  expect(kept.sort(), `${folder}: ${stale}`).toEqual([...made.keys()].sort());
  for (const [name, text] of made)
    expect(readFileSync(join(folder, name), 'utf8') === text, `${name}: ${stale}`).toBe(true);
}

describe('the reference of file keys', () => {
  let pages: ReadonlyMap<string, string>;
  beforeAll(async () => {
    pages = await reference(process.cwd());
  });

  it('is what the schemas say, file by file', () => {
    expectMade('docs/reference', pages);
  });

  it('has a row for a key wherever it stands, with its unit, and for each driver its own keys', () => {
    const rig = pages.get('rig-file.md') ?? '';
    expect(rig).toMatch(/^\| `wiring\[\]\.dark\.noise` \| yes \| as `\d+ \S+` \| .*rms/m);
    for (const name of driverNames) expect(rig).toMatch(new RegExp(`^### ${name}\\b`, 'm'));
    expect(pages.get('lamp-file.md')).toContain('| `modulation.clock` | yes (pulse-density) |');
    expect(pages.get('scpi-profile.md')).toMatch(/^## supply$/m);
  });

  it('has a section for each command and each of its own, with every option', () => {
    const page = pages.get('commands.md') ?? '';
    const sections = [...page.matchAll(/^###? (.+)$/gm)].map(([, name]) => name);
    expect(sections).toEqual(expect.arrayContaining(commands.map(({ name }) => name)));
    expect(sections).toEqual(expect.arrayContaining(Object.keys(guides)));
    for (const [name, { groups }] of Object.entries(guides)) {
      const [own = ''] =
        page
          .split(new RegExp(`^###? ${name}$`, 'm'))
          .at(1)
          ?.split(/^##/m) ?? [];
      for (const option of groups.flatMap(([, options]) => options))
        expect(own, name).toContain(`\`--${option}`);
    }
  });
});

it('takes the users’ words into the glossary, and none of the code alone', async () => {
  const page = (await reference(process.cwd())).get('glossary.md') ?? '';
  expect(page).toMatch(/^\| lamp, rig, spec, claim \| /m);
  expect(page).toMatch(/^\| policy, demand \| /m);
  expect(page).not.toMatch(/^\| (schedule|pulse|capture id) /m);
});

describe('the handbook of metrics', () => {
  it('is what stands beside the metrics, file by file', () => {
    expectMade('docs/metrics', files);
  });

  it.each(metrics)('tells of $id all that a reader needs', ({ id, family, title }) => {
    const page = files.get(`${family}.md`) ?? '';
    const [, section = ''] = page.split(new RegExp(`^## ${id}$`, 'm'));
    const own = section.split(/^## /m)[0] ?? '';
    expect(own).toContain(`**${title}**`);
    for (const label of [
      'Inputs',
      'Output',
      'Not measurable',
      'Fooled by',
      'Source',
      'Uncertainty',
    ])
      expect(own).toMatch(new RegExp(`^- \\*\\*${label}:\\*\\* \\S.+`, 'm'));
    // What is computed, in a sentence at least.
    const about = own.slice(
      own.indexOf(`**${title}**`) + title.length + 4,
      own.search(/^(- \*\*|!\[)/m),
    );
    expect(about.trim()).toMatch(/^\S[\s\S]{40}/);
    expect(files.get('README.md')).toContain(`[${id}](${family}.md#${id})`);
  });

  it('shows most metrics in a picture of a report', () => {
    const pictures = [...files.keys()].filter((name) => name.endsWith('.svg'));
    expect(pictures.length).toBeGreaterThan(0.7 * metrics.length);
    for (const name of pictures) expect(files.get(name)).toMatch(/^<svg xmlns=.*<path/s);
  });
});
