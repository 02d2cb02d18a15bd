import { readdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';

const read = (file: string) => parse(readFileSync(file, 'utf8'));
const oneForge = read('.github/workflows/ci.yml');
const otherForge = read('.gitlab-ci.yml');
const versions = ['20.19', '22', '24'];

describe('hosted CI', () => {
  it('runs the two commands of README.md on every Node, in both forges', () => {
    const commands = [...readFileSync('README.md', 'utf8').matchAll(/^(npm ci && npm \w+) +#/gm)];
    expect(commands.map(([, line]) => line)).toEqual(['npm ci && npm start', 'npm ci && npm test']);
    const jobs = oneForge.jobs['two-commands'];
    expect(jobs.strategy.matrix.node).toEqual(versions);
    const lines = ['npm ci && npm start', 'npm test'];
    expect(jobs.steps.flatMap(({ run = [] }) => run)).toEqual(lines);
    expect(otherForge['two-commands'].parallel.matrix).toEqual([{ NODE: versions }]);
    expect(otherForge['two-commands'].script).toEqual(lines);
  });

  it('begins with the oldest Node that package.json allows', () => {
    const { engines } = JSON.parse(readFileSync('package.json', 'utf8'));
    expect(engines.node).toMatch(/^>=20\.19/);
  });

  it('tries the package as it is packed, in both forges and before it is published', () => {
    expect(statSync('.ci/pack-smoke').mode & 0o111).not.toBe(0);
    expect(JSON.stringify(oneForge.jobs.package.steps)).toContain('.ci/pack-smoke');
    expect(otherForge.package.script).toContain('.ci/pack-smoke');
  });

  it('builds the documentation and keeps it, in both forges', () => {
    const { scripts } = JSON.parse(readFileSync('package.json', 'utf8'));
    expect(scripts.docs).toBe('tsx build/docs/docs.ts');
    const { steps } = oneForge.jobs.docs;
    expect(steps.flatMap(({ run = [] }) => run)).toEqual(['npm ci', 'npm run docs']);
    expect(steps.at(-1).with.path).toBe('site/');
    expect(otherForge.docs.script).toEqual(['npm ci', 'npm run docs']);
    expect(otherForge.docs.artifacts.paths).toEqual(['site/']);
  });

  it('tries the campaigns whole every night, in both forges, and never on a push', () => {
    const { on, jobs } = read('.github/workflows/nightly.yml');
    expect(Object.keys(on).sort()).toEqual(['schedule', 'workflow_dispatch']);
    const lines = ['npm ci', 'npm run campaigns'];
    expect(jobs.campaigns.steps.flatMap(({ run = [] }) => run)).toEqual(lines);
    expect(otherForge.campaigns.rules).toEqual([{ if: '$CI_PIPELINE_SOURCE == "schedule"' }]);
    expect(otherForge.campaigns.script).toEqual(lines);
    const { scripts } = JSON.parse(readFileSync('package.json', 'utf8'));
    expect(scripts.campaigns).toBe('EVENFALL_SAMPLE=all vitest related --run tests/sampled.ts');
  });

  it('publishes only when a person starts it, with provenance, and after the smoke test', () => {
    const { on, jobs, permissions } = read('.github/workflows/publish.yml');
    expect(Object.keys(on)).toEqual(['workflow_dispatch']);
    expect(permissions).toEqual({ contents: 'read' });
    const { steps, permissions: own } = jobs.publish;
    expect(own['id-token']).toBe('write');
    const lines = steps.flatMap(({ run = [] }) => run);
    expect(lines.indexOf('.ci/pack-smoke')).toBeLessThan(
      lines.indexOf('npm publish --provenance --access public'),
    );
    expect(lines).toContain('npm publish --provenance --access public');
  });

  it('has forms for issues that can be read, each with a name and something to fill in', () => {
    const folder = '.github/ISSUE_TEMPLATE';
    const forms = readdirSync(folder).filter((name) => name !== 'config.yml');
    expect(forms).toHaveLength(readdirSync('.gitlab/issue_templates').length);
    for (const form of forms) {
      const { name, description, body } = read(join(folder, form));
      expect([name, description].every((text) => text.length > 10)).toBe(true);
      expect(body.length).toBeGreaterThan(0);
    }
  });
});
