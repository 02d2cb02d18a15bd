import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { handbook } from '../../build/docs/handbook/handbook.ts';
import { metrics } from '../../harness/measure/metrics.ts';

const folder = 'docs/metrics';
const stale = 'docs/metrics is older than what stands beside the metrics: npm run handbook';

let files: ReadonlyMap<string, string>;
beforeAll(async () => {
  files = await handbook(process.cwd());
});

describe('the handbook of metrics', () => {
  it('is what stands beside the metrics, file by file', () => {
    const kept = readdirSync(folder, { recursive: true, encoding: 'utf8' })
      .map((name) => name.replaceAll('\\', '/'))
      .filter((name) => name !== 'pictures');
    expect(kept.sort(), stale).toEqual([...files.keys()].sort());
    for (const [name, text] of files)
      expect(readFileSync(join(folder, name), 'utf8') === text, `${name}: ${stale}`).toBe(true);
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
