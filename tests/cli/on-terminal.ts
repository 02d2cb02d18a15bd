import { spawn, spawnSync } from 'node:child_process';
import { mainFile } from './program.ts';

/** `script` of util-linux gives the program a terminal of its own; every Debian has it. */
export const hasTerminal = spawnSync('script', ['--version']).status === 0;

/** Runs evenfall on a real terminal; each answer is typed once its question has appeared. */
export function onTerminal(
  command: string,
  answers: readonly (readonly [question: string, answer: string])[],
): Promise<{ readonly shown: string; readonly exitCode: number | null }> {
  return new Promise((resolve, reject) => {
    const line = `'${process.execPath}' '${mainFile}' ${command}`;
    const { EVENFALL_PASSPHRASE: _, ...env } = process.env;
    const child = spawn('script', ['-qec', line, '/dev/null'], { env });
    let shown = '';
    let next = 0;
    child.stdout.on('data', (data: Buffer) => {
      shown += data.toString();
      const waiting = answers[next];
      if (!waiting || !shown.includes(waiting[0])) return;
      next++;
      child.stdin.write(waiting[1]);
    });
    child.on('error', reject);
    child.on('close', (exitCode) => resolve({ shown, exitCode }));
  });
}
