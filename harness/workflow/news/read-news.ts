import { dirname, resolve } from 'node:path';
import * as z from 'zod';
import type { Issue } from '../../files/issue.ts';
import { IssueList } from '../../files/issue-list.ts';
import { readYaml } from '../../files/read-yaml.ts';
import { BadFiles } from '../inputs/bad-files.ts';
import { readFile } from '../inputs/read-file.ts';
import { type Environment, readSecret } from './secret.ts';
import { type Target, targetSchema } from './target.ts';

const schema = z.strictObject({ targets: z.array(targetSchema).min(1).max(50) });

/** Who is told, and what telling needs. */
export interface NewsFile {
  readonly targets: readonly Target[];
  /** Programs run in it, and files of secrets are looked for from it. */
  readonly folder: string;
}

/** A news file by itself; or every issue of it. */
export function parseNews(
  text: string,
  file: string,
): { readonly targets: readonly Target[] } | { readonly issues: readonly Issue[] } {
  const { yaml, issues } = readYaml(text, file);
  if (!yaml) return { issues };
  const list = new IssueList(yaml, issues);
  const parsed = list.parse(schema, yaml.value);
  const known = new Set<string>();
  for (const [place, { target }] of (parsed?.targets ?? []).entries()) {
    if (known.has(target)) list.add(['targets', place, 'target'], `${target} is there twice`);
    known.add(target);
  }
  return parsed && list.count === 0 ? { targets: parsed.targets } : { issues: list.sorted() };
}

/**
 * Reads a news file, and looks for the secrets that it names: who learns in the morning that nobody could be told learns it too
 * late. Throws BadFiles with every mistake in it, or a Complaint.
 */
export function readNews(
  path: string,
  { cwd, env }: { readonly cwd: string; readonly env: Environment },
): NewsFile {
  const { text, file } = readFile(path, cwd);
  const read = parseNews(text, file);
  if ('issues' in read) throw new BadFiles(read.issues, 'nothing was run');
  const folder = dirname(resolve(cwd, file));
  for (const { target, webhook } of read.targets)
    if (webhook) readSecret(webhook.secret, { target, folder, env });
  return { targets: read.targets, folder };
}
