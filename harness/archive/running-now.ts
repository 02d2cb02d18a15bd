import { rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import * as z from 'zod';
import { readPlainFile } from './plain-file.ts';

/** What is being measured at this moment, for those who look on; it lies in a run's folder while it is written, and proves nothing. */
const runningFile = 'running.json';

export interface RunningCondition {
  readonly spec: string;
  readonly key: string;
}

const runningSchema = z.array(z.object({ spec: z.string(), key: z.string() }));

/** A disk that takes no more is told of by what has to be stored, not by this. */
export function writeRunning(folder: string, conditions: readonly RunningCondition[]): void {
  try {
    writeFileSync(join(folder, runningFile), JSON.stringify(conditions));
  } catch {}
}

export function clearRunning(folder: string): void {
  rmSync(join(folder, runningFile), { force: true });
}

/** None where nothing is told, or half of it. */
export async function readRunning(folder: string): Promise<readonly RunningCondition[]> {
  try {
    return runningSchema.parse(
      JSON.parse((await readPlainFile(join(folder, runningFile))).toString()),
    );
  } catch {
    return [];
  }
}
