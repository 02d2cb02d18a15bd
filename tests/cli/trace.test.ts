import { writeFileSync } from 'node:fs';
import { beforeAll, describe, expect, it } from 'vitest';
import { buildProgram, evenfall } from './program.ts';
import { desk, dimmingSpec, recordIn, runsIn } from './small-specs.ts';

const requirements = `id,text
REQ-1,It dims as commanded
REQ-2,It dims on every channel
REQ-3,It never flickers
REQ-4,It floats
`;

/** Two claims for REQ-1, one of which fails; one for REQ-2; REQ-3 has a claim that was not run; REQ-4 has none. */
const files = {
  'requirements.csv': requirements,
  'specs/good.spec.yaml': dimmingSpec('good', ['50 %']).replace('[REQ-1]', '[REQ-1, REQ-2]'),
  'specs/bad.spec.yaml': dimmingSpec('bad', ['50 %']).replaceAll('target: $level', 'target: 5 %'),
};
const later = dimmingSpec('later', ['50 %']).replace('[REQ-1]', '[REQ-3]');

let cwd: string;
beforeAll(async () => {
  buildProgram();
  cwd = desk(files);
  await evenfall(['run', 'specs', '--jobs', '1'], { cwd });
  // A claim that was written after the run.
  writeFileSync(`${cwd}/specs/later.spec.yaml`, later);
});

const trace = (...more: string[]) =>
  evenfall(['trace', 'specs', '--requirements', 'requirements.csv', ...more], { cwd });

describe('evenfall trace over a stored run', () => {
  it('tells of each requirement the worst verdict of its claims', async () => {
    const { exitCode, stdout } = await trace('--json');
    const { run, requirements: traced } = JSON.parse(stdout);
    expect(run).toBe(recordIn(runsIn(cwd)[0]!).id);
    const told = traced.map(
      (one: {
        id: string;
        verdict: string | null;
        claims: { spec: string; verdict: string }[];
      }) => [
        one.id,
        one.verdict,
        Object.fromEntries(one.claims.map(({ spec, verdict }) => [spec, verdict])),
      ],
    );
    expect(told).toEqual([
      ['REQ-1', 'fail', { bad: 'fail', good: 'pass' }],
      ['REQ-2', 'pass', { good: 'pass' }],
      ['REQ-3', null, { later: null }],
      ['REQ-4', null, {}],
    ]);
    expect(exitCode).toBe(1);
  });

  it('says it in a table, with the run and the time that the verdicts are of', async () => {
    const { stdout } = await trace();
    const { id, startedAt } = recordIn(runsIn(cwd)[0]!);
    expect(stdout).toContain(
      `3 of 4 requirements are covered; verdicts of run ${id}, ${startedAt}`,
    );
    expect(stdout).toMatch(/▲ fail +bad/);
    expect(stdout).toMatch(/● pass +good/);
    expect(stdout).toMatch(/- not in the run +later/);
    expect(stdout).toContain('no claim covers REQ-4: It floats');
  });

  it('can be asked about a run by its id', async () => {
    const { id } = recordIn(runsIn(cwd)[0]!);
    expect(JSON.parse((await trace('--json', '--run', id)).stdout).run).toBe(id);
    const { exitCode, stderr } = await trace('--run', 'ffff');
    expect(exitCode).toBe(66);
    expect(stderr).toContain('found none called "ffff"');
  });
});
