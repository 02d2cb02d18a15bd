import { basename, dirname, resolve } from 'node:path';
import type { Lamp } from '../../bench/lamp.ts';
import type { Issue } from '../../files/issue.ts';
import type { Plan } from '../../plan/plan.ts';
import { duplicateIds } from '../../spec-language/duplicate-ids.ts';
import { readSpec } from '../../spec-language/spec-file.ts';
import { findFiles } from './find-files.ts';
import { readFile } from './read-file.ts';

export interface ReadSpecs {
  readonly plans: readonly Plan[];
  readonly issues: readonly Issue[];
}

/** Reads every *.spec.yaml under the paths for one lamp. Throws a Complaint where a path does not exist. */
export function readSpecs(paths: readonly string[], lamp: Lamp, cwd: string): ReadSpecs {
  return readSpecFiles(findFiles(paths, ['.spec.yaml'], cwd), lamp, cwd);
}

export function readSpecFiles(files: readonly string[], lamp: Lamp, cwd: string): ReadSpecs {
  const plans: Plan[] = [];
  const issues: Issue[] = [];
  const texts = new Map<string, string>();
  for (const file of files) {
    const { text, digest } = readFile(file, cwd);
    texts.set(file, text);
    const folder = basename(dirname(resolve(cwd, file)));
    const read = readSpec(text, { file, folder, digest, lamp });
    if ('plan' in read) plans.push(read.plan);
    else issues.push(...read.issues);
  }
  const duplicates = duplicateIds(plans).map(({ files: [, file], message }) =>
    atSpecKey(file, texts.get(file) ?? '', message),
  );
  return { plans, issues: [...issues, ...duplicates] };
}

/** An issue at the line that gives the spec its id. */
function atSpecKey(file: string, text: string, message: string): Issue {
  const lines = text.split(/\r?\n/);
  const index = Math.max(
    0,
    lines.findIndex((line) => /^\ufeff?["']?spec["']?\s*:/.test(line)),
  );
  const excerpt = lines[index] ?? '';
  return {
    file,
    line: index + 1,
    column: 1,
    path: 'spec',
    message,
    excerpt,
    length: excerpt.length,
  };
}
