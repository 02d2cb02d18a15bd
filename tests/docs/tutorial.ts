import { type ChildProcess, spawn } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';

/** A fenced block of a tutorial: a file to save, or commands to type with what they print. */
type Step = { readonly kind: 'file'; readonly name: string; readonly text: string } | CommandStep;

export interface CommandStep {
  readonly kind: 'run';
  readonly script: string;
  readonly exit: number;
  /** It goes on until the tutorial has ended. */
  readonly stays: boolean;
  readonly printed: Printed | null;
}

interface Printed {
  readonly text: string;
  /** Results, or what is said beside them. */
  readonly on: 'stdout' | 'stderr';
  /** Figures differ from run to run: only what stands around them counts. */
  readonly isShape: boolean;
}

interface Fence {
  readonly info: string;
  readonly text: string;
}

/** The steps of a tutorial, in order. Throws on a block that nobody would run: every example has to be true. */
export function stepsOf(markdown: string): readonly Step[] {
  const fences: Fence[] = [...markdown.matchAll(/^```([^\n]*)\n(.*?)^```$/gms)].map(
    ([, info = '', text = '']) => ({ info, text }),
  );
  return fences.flatMap((fence, k) => stepOf(fence, fences[k + 1], fences[k - 1]));
}

function stepOf({ info, text }: Fence, next: Fence | undefined, last: Fence | undefined): Step[] {
  const [language = '', word, figure] = info.split(' ');
  if (language === 'text') {
    if (last?.info.startsWith('sh')) return [];
    throw new Error(`expected commands before the output ${text}`);
  }
  if (language === 'sh') {
    const printed = next?.info.startsWith('text')
      ? {
          text: next.text,
          on: next.info === 'text stderr' ? ('stderr' as const) : ('stdout' as const),
          isShape: next.info === 'text shape',
        }
      : null;
    const exit = word === 'exit' ? Number(figure) : 0;
    return [{ kind: 'run', script: text, exit, stays: word === 'stays', printed }];
  }
  if (word === undefined) throw new Error(`expected the name of a file behind ${info}`);
  return [{ kind: 'file', name: word, text }];
}

interface Shown {
  readonly step: CommandStep;
  readonly exitCode: number | null;
  readonly stdout: string;
  readonly stderr: string;
}

/** Types a tutorial in a folder, step by step, and hands each command's end to `look`. */
export async function typeTutorial(
  steps: readonly Step[],
  folder: string,
  look: (shown: Shown) => void,
): Promise<void> {
  const staying: ChildProcess[] = [];
  // Ports of its own, so that two computers' worth of tests can run on one.
  const ports = String(200 + (process.pid % 120));
  const moved = (text: string): string => text.replace(/\b170(\d\d)\b/g, `${ports}$1`);
  const back = (text: string): string =>
    text.replaceAll(new RegExp(`\\b${ports}(\\d\\d)\\b`, 'g'), '170$1');
  let exported = '';
  try {
    for (const step of steps) {
      if (step.kind === 'file') {
        writeFileSync(join(folder, step.name), moved(step.text));
        continue;
      }
      // What npx does is tried on the packed product; here it would only take its time, command by command.
      const script = `set -e\nnpx() { "$@"; }\n${exported}${moved(step.script)}`;
      exported += step.script.match(/^export .*\n/gm)?.join('') ?? '';
      const ended = await typed(script, folder, step.stays, staying);
      look({ step, ...ended, stdout: back(ended.stdout), stderr: back(ended.stderr) });
    }
  } finally {
    for (const { pid } of staying) if (pid !== undefined) process.kill(-pid, 'SIGTERM');
  }
}

/** With nothing of this process's settings, as in a terminal of 100 columns. */
function typed(
  script: string,
  cwd: string,
  stays: boolean,
  staying: ChildProcess[],
): Promise<Pick<Shown, 'exitCode' | 'stdout' | 'stderr'>> {
  const { PATH = '', HOME = '' } = process.env;
  const env = { PATH: `${resolve(cwd, '../node_modules/.bin')}:${PATH}`, HOME };
  const child = spawn('bash', ['-c', script], { cwd, env, detached: true });
  if (stays) staying.push(child);
  let [stdout, stderr] = ['', ''];
  return new Promise((done, reject) => {
    child.stdout.on('data', (piece) => {
      stdout += piece;
      if (stays && /^ready: .*\n/m.test(stdout)) done({ exitCode: 0, stdout, stderr });
    });
    child.stderr.on('data', (piece) => (stderr += piece));
    child.on('error', reject);
    child.on('close', (exitCode) => done({ exitCode, stdout, stderr }));
  });
}

/** Whether a command printed what the tutorial shows: times, ids and layout aside; `…` stands for any lines. */
export function isShown({ text, isShape }: Omit<Printed, 'on'>, printed: string): boolean {
  const plain = (one: string): string => steady(one, isShape);
  const parts = text.split(/^…$/m).map((part) => escaped(plain(part)));
  return new RegExp(`^${parts.join('.*')}$`).test(plain(printed));
}

/** What is the same on every machine and every day. */
function steady(text: string, isShape: boolean): string {
  const told = text
    .replace(/\s+/g, ' ')
    .trim()
    .replace(/\d{4}-\d\d-\d\d[T ]\d\d[:-]\d\d([:-]\d\d(\.\d+)?Z?)?/g, 'TIME')
    .replace(/\b[0-9a-f]{8,64}\b/g, 'ID')
    .replace(/(of lamp time in) [\d.]+ (ms|s|min)/g, '$1 TIME');
  return isShape ? told.replace(/\d+(\.\d+)?/g, 'N') : told;
}

function escaped(text: string): string {
  return text.replace(/[.*+?^${}()|[\]\\/]/g, '\\$&');
}
