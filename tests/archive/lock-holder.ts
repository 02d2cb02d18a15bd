import { rm, writeFile } from 'node:fs/promises';
import { hostname } from 'node:os';
import { setTimeout as pause } from 'node:timers/promises';
import { withFileLock } from '../../harness/archive/file-lock.ts';

/**
 * Holds a lock time and again: `lock-holder FILE TIMES DEAD`. Every fourth time it leaves the lock as the process DEAD would have
 * left it that was killed with it. Ends with an error where somebody else holds it as well.
 */
const [file = '', times = '', dead = ''] = process.argv.slice(2);
for (let k = 0; k < Number(times); k++) {
  await withFileLock(file, async () => {
    await writeFile(`${file}.inside`, '', { flag: 'wx' });
    await pause(Math.random() * 2);
    await rm(`${file}.inside`);
    if (k % 4 === 3) await writeFile(file, `${dead} ${hostname()} ${process.pid}-${k}`);
  });
}
