import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll } from 'vitest';
import type { RunRecord } from '../../harness/record/run-record.ts';

const stimulus = `stimulus:
  - set: { level: 100 %, mix: all }
  - hold: 100 ms
  - mark: full
  - hold: 100 ms
  - mark: settling
  - set: { level: $level }
  - hold: 100 ms
  - mark: low
  - hold: 100 ms
`;

/**
 * One channel of the lamp, dimmed to each of the levels: less than half a second of lamp time a condition, unless each
 * of its holds is longer than 100 ms.
 */
export function dimmingSpec(
  spec: string,
  levels: readonly string[],
  more = '',
  hold = '100 ms',
): string {
  return `spec: ${spec}
claim: The lamp dims as commanded.
traces: [REQ-1]
tags: [commit]
conditions:
  level: [${levels.join(', ')}]
${stimulus.replaceAll('100 ms', hold)}capture:
  - { signal: channel-current, of: each-channel, rate: 10 kHz }
criteria:
  - { metric: level-ratio, of: warm, during: low, reference: full, target: $level, tolerance: ± 30 % }
  - { metric: level-ratio, of: cool, during: low, reference: full, target: $level, tolerance: ± 30 % }
${more}`;
}

/** Light and its colour, so that every kind of record is in the run. */
export const colourSpec = `spec: colour-keeps
claim: The colour stays where it is.
conditions:
  level: [20 %]
${stimulus}capture:
  - { signal: light, of: light, rate: 20 kHz }
  - { signal: colour, of: lamp, integration: 20 ms, every: 20 ms }
  - { signal: frame, of: lamp, exposure: 2 ms, frame-rate: 25 Hz, during: full }
criteria:
  - { metric: modulation, of: light, during: full, at-most: 50 % }
  - { metric: uv-shift, of: lamp, during: low, reference: full, at-most: 0.01 }
  - { metric: frame-band-contrast, of: light, during: full, at-most: 90 % }
`;

/** A folder with the given files, gone after the tests. */
export function desk(files: Readonly<Record<string, string | Uint8Array>>): string {
  const folder = mkdtempSync(join(tmpdir(), 'evenfall-run-'));
  made.push(folder);
  mkdirSync(join(folder, 'specs'));
  for (const [name, content] of Object.entries(files)) writeFileSync(join(folder, name), content);
  return folder;
}

const made: string[] = [];
afterAll(() => {
  for (const folder of made) rmSync(folder, { recursive: true, force: true });
});

/** Folders of the stored runs, the oldest first. */
export function runsIn(cwd: string, reports = 'reports'): string[] {
  // Names tell the second of the start; two runs may begin within one.
  const started = (folder: string): string => recordIn(folder).startedAt;
  return readdirSync(join(cwd, reports))
    .filter((name) => !name.startsWith('.') && !name.startsWith('index.'))
    .map((name) => join(cwd, reports, name))
    .sort((a, b) => started(a).localeCompare(started(b)));
}

export function recordIn(folder: string): RunRecord {
  return JSON.parse(readFileSync(join(folder, 'run.json'), 'utf8'));
}

/** Every finding of a run, and what it rests on, as text: equal runs give equal bytes. */
export function findingsText({ specs }: RunRecord): string {
  const found = specs.map(({ spec, verdict, conditions }) => ({
    spec,
    verdict,
    conditions: conditions.map(({ startedAt: _, ...rest }) => rest),
  }));
  return JSON.stringify(found, null, 1);
}
