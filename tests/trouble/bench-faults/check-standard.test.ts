import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { parse, stringify } from 'yaml';
import type { Emulation } from '../../../drivers/plant/emulate/emulation.ts';
import { evenfall } from '../../cli/program.ts';
import { openTestEmulation } from '../../drivers/emulate/open-test-bench.ts';
import { benchDesk, conditionsOf, newestRecord } from './emulated-runs.ts';

let emulation: Emulation;
beforeAll(async () => {
  emulation = await openTestEmulation();
});
afterAll(async () => {
  await emulation?.close();
});

const patience = { timeout: 120_000 };

function desk(more = '') {
  return benchDesk(emulation, {
    levels: ['90 %', '60 %'],
    change: (text) =>
      `${text}before: { check-standard: { standard: "Alcove-6 no. 12", level: 50 %${more} } }\n`,
  });
}

/** A history of twelve like the one measurement that is there, times `factor`. */
function pretend(cwd: string, factor: number): string {
  const file = join(cwd, 'bench.check-standards.yaml');
  const [one] = parse(readFileSync(file, 'utf8'));
  const days = Array.from({ length: 12 }, (_, index) => ({
    ...one,
    at: `2026-10-${10 + index}T06:00:00.000Z`,
    value: one.value * factor * (1 + (index % 2 ? 0.004 : -0.004)),
  }));
  writeFileSync(file, stringify(days));
  return file;
}

describe('the check standard', () => {
  it('is measured by each run, learns its limits, holds, and stops the run', patience, async () => {
    const { cwd, env, args } = desk();
    const first = await evenfall(args, { cwd, env });
    expect(first.stderr).toMatch(
      /check-standard: Alcove-6 no\. 12 reads .* lx; measurement 1, and limits hold after 8/,
    );
    expect(newestRecord(cwd).rig.standard).toMatchObject({ limits: null, unit: 'lx' });

    const file = pretend(cwd, 1);
    const good = await evenfall(args, { cwd, env });
    expect(good.stderr).toMatch(/check-standard: Alcove-6 no\. 12 reads .* s from its mean of/);
    expect(good.stderr).not.toMatch(/NOT GOOD/);
    expect(newestRecord(cwd).ended).toBe('complete');
    expect(newestRecord(cwd).rig.standard?.points).toHaveLength(13);
    expect(parse(readFileSync(file, 'utf8'))).toHaveLength(13);
    const chart = await evenfall(['rig', 'standard', '--rig', 'bench.rig.yaml'], { cwd, env });
    expect(chart.stdout).toMatch(/Alcove-6 no\. 12, light of all/);
    expect(chart.stdout.match(/within/g)?.length).toBeGreaterThanOrEqual(4);

    pretend(cwd, 1.1);
    const bad = await evenfall(args, { cwd, env });
    expect(bad.stderr).toMatch(/check-standard: NOT GOOD: .*beyond 3 s/);
    expect(bad.exitCode).toBe(3);
    const record = newestRecord(cwd);
    expect(record).toMatchObject({ ended: 'failed', safeState: { confirmed: true } });
    expect(conditionsOf(record).map(({ verdict }) => verdict)).toEqual(['error', 'not run']);
    expect(record.rig.standard?.points.at(-1)?.rule).toBe('beyond 3 s');
  });

  it('may be told to note it only', patience, async () => {
    const { cwd, env, args } = desk(', beyond: note');
    await evenfall(args, { cwd, env });
    pretend(cwd, 0.9);
    const { stderr } = await evenfall(args, { cwd, env });
    expect(stderr).toMatch(/beyond 3 s/);
    expect(newestRecord(cwd).ended).toBe('complete');
  });

  it('is not guessed from a history that cannot be read', patience, async () => {
    const { cwd, env, args } = desk();
    writeFileSync(join(cwd, 'bench.check-standards.yaml'), 'nonsense: true\n');
    const { stderr, exitCode } = await evenfall(args, { cwd, env });
    expect(stderr).toMatch(/is no history of check standards/);
    expect(exitCode).toBe(65);
  });
});
