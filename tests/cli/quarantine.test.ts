import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { evenfall } from './program.ts';
import { desk, dimmingSpec, recordIn, runsIn } from './small-specs.ts';

const misses = (name: string) =>
  dimmingSpec(name, ['50 %']).replaceAll('target: $level', 'target: 90 %');
const inDays = (days: number) =>
  new Date(Date.now() + days * 86_400_000).toISOString().slice(0, 10);
const file = (claim: string, until: string) =>
  `quarantine:\n  - { claim: ${claim}, owner: Mira, reason: It is too bright, until: ${until} }\n`;

function place(until: string, claim = 'misses') {
  return desk({
    'specs/a.spec.yaml': dimmingSpec('holds', ['50 %']),
    'specs/b.spec.yaml': misses('misses'),
    'q.yaml': file(claim, until),
  });
}
const run = (cwd: string, ...more: readonly string[]) =>
  evenfall(['run', 'specs', '--quarantine', 'q.yaml', ...more], { cwd });

describe('a claim in quarantine', () => {
  it('is run and told everywhere, and fails no gate', async () => {
    const until = inDays(0);
    const cwd = place(until);
    const { exitCode, stdout } = await run(cwd);
    expect(exitCode).toBe(0);
    const words = `In quarantine until ${until} (Mira): It is too bright.`;
    expect(stdout).toContain(words);
    expect(stdout).toContain('1 fail   (1 of them in quarantine)');
    const [folder = ''] = runsIn(cwd);
    const record = recordIn(folder);
    expect(record.verdict).toBe('fail');
    expect(record.specs[1]?.quarantine).toEqual({
      owner: 'Mira',
      reason: 'It is too bright',
      until,
    });
    const junit = readFileSync(join(folder, 'junit.xml'), 'utf8');
    expect(junit).toContain(`skipped message="${words} fail: `);
    expect(junit).not.toContain('<failure');
    for (const [format, code] of [
      ['html', 0],
      ['markdown', 0],
      ['annotations', 0],
      ['code-quality', 0],
    ] as const) {
      const report = await evenfall(['report', folder, '--format', format], { cwd });
      expect(report.exitCode).toBe(code);
      expect(report.stdout.replaceAll('\\', '')).toContain(`In quarantine until ${until} (Mira)`);
    }
    const annotations = await evenfall(['report', folder, '--format', 'annotations'], { cwd });
    expect(annotations.stdout).toMatch(/^::warning /);
    const again = await evenfall(['report', folder, '--rejudge'], { cwd });
    expect(again.exitCode, again.stderr).toBe(0);
    expect(again.stdout).toContain(words);
  });

  it('does not hide another that fails', async () => {
    const { exitCode, stdout } = await run(place(inDays(3), 'holds'));
    expect(exitCode).toBe(1);
    expect(stdout).not.toContain('quarantine');
  });

  it('counts again when its quarantine is over, and run says so', async () => {
    const { exitCode, stderr } = await run(place(inDays(-1)));
    expect(exitCode).toBe(1);
    expect(stderr).toContain(
      `The quarantine of misses ended with ${inDays(-1)} (Mira): it counts again\n`,
    );
  });

  it.each([
    [file('misses', inDays(120)), 'expected a day at most 90 days ahead'],
    [file('misses', 'soon'), 'until'],
    [
      `${file('misses', inDays(1))}${file('misses', inDays(1)).split('\n')[1]}\n`,
      'misses is there twice',
    ],
    ['quarantine:\n  - { claim: misses, until: 2026-12-01 }\n', 'owner'],
  ])('is refused in a file with a mistake, at its line', async (text, words) => {
    const cwd = desk({ 'specs/a.spec.yaml': dimmingSpec('holds', ['50 %']), 'q.yaml': text });
    const { exitCode, stderr } = await run(cwd);
    expect(exitCode).toBe(65);
    expect(stderr).toMatch(/q\.yaml:\d+:\d+/);
    expect(stderr).toContain(words);
  });
});
