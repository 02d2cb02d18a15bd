import { execFileSync, spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { parseArgs } from 'node:util';
import { touchedRooms } from './touched-rooms.ts';

/**
 * `npm run test:changed`: the tests of the rooms whose files differ from `--since` (main unless given), committed or not, and of them
 * only those that import such a file. A first answer within a minute; `npm test` has the last word.
 */
const { values: options } = parseArgs({ options: { since: { type: 'string', default: 'main' } } });
const git = (...args: string[]): string[] =>
  execFileSync('git', args, { encoding: 'utf8' }).split('\n').filter(Boolean);
const base = git('merge-base', options.since, 'HEAD')[0] ?? options.since;
const changed = [
  ...git('diff', '--name-only', base),
  ...git('ls-files', '--others', '--exclude-standard'),
];
const rooms = touchedRooms(changed).filter((folder) => existsSync(folder));
if (rooms.length === 0) process.stdout.write(`No room has changed since ${options.since}.\n`);
else {
  process.stdout.write(`Tests that ${changed.length} changed files touch in ${rooms.join(', ')}\n`);
  const args = [
    'vitest',
    'run',
    '--project',
    'exact',
    '--passWithNoTests',
    '--changed',
    base,
    ...rooms,
  ];
  process.exitCode = spawnSync('npx', args, { stdio: 'inherit' }).status ?? 1;
}
