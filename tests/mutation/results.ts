import { execFileSync } from 'node:child_process';
import { existsSync, readFileSync, writeFileSync } from 'node:fs';

/** How many changes of a group's code the tests notice. */
export interface Figures {
  readonly group: string;
  readonly mutants: number;
  readonly killed: number;
  /** Survivors of which a person says why no test need notice them. */
  readonly explained: number;
}

/** Of the mutants that are not explained, the part that was killed. */
export function shareKilled({ mutants, killed, explained }: Figures): number {
  return mutants === explained ? 1 : killed / (mutants - explained);
}

const path = 'tests/mutation/RESULTS.md';

const head = `# What the tests notice of small changes of the judging code

Written by \`npm run mutate -- GROUP --write\`. Changes that act only while the code is loaded are left out. Each
change is tried by the tests that pass through it, for 2 s at most: what only others would notice counts as a survivor.
The share is killed / (mutants - explained).

| group | mutants | killed | explained | survivors | share | date | commit |
|---|---|---|---|---|---|---|---|
`;

/** Puts a group's figures into the table, in place of its earlier ones. */
export function writeResults(figures: Figures): void {
  const { group, mutants, killed, explained } = figures;
  const percent = `${(100 * shareKilled(figures)).toFixed(1)} %`;
  const commit = execFileSync('git', ['rev-parse', '--short', 'HEAD'], { encoding: 'utf8' }).trim();
  const date = new Date().toISOString().slice(0, 10);
  const counts = [mutants, killed, explained, mutants - killed - explained];
  const row = `| ${[group, ...counts, percent, date, commit].join(' | ')} |`;
  const others = existsSync(path)
    ? readFileSync(path, 'utf8')
        .slice(head.length)
        .split('\n')
        .filter((line) => line !== '' && !line.startsWith(`| ${group} |`))
    : [];
  writeFileSync(path, `${head}${[...others, row].sort().join('\n')}\n`);
}
