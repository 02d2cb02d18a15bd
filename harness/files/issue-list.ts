import type * as z from 'zod';
import { type Issue, type PathStep, sortIssues } from './issue.ts';
import { knownKeys } from './known-keys.ts';
import { misfits } from './schema-issues.ts';
import type { YamlFile } from './yaml-file.ts';

/** Gathers the issues of one file. */
export class IssueList {
  readonly yaml: YamlFile;
  readonly #issues: Issue[];

  constructor(yaml: YamlFile, issues: readonly Issue[] = []) {
    this.yaml = yaml;
    this.#issues = [...issues];
  }

  add(path: readonly PathStep[], message: string, at: 'value' | 'key' = 'value'): void {
    const issue = this.yaml.issue(path, message, at);
    // One place may be met once per condition; it is told once.
    const told = this.#issues.some(
      ({ line, column, message: other }) =>
        line === issue.line && column === issue.column && other === message,
    );
    if (!told) this.#issues.push(issue);
  }

  /**
   * A value of the file by its schema. Where it does not fit, everything that is wrong is added, and the result is
   * undefined. `at`: where the value stands; `otherKeys`: keys beside it that somebody else reads.
   */
  parse<Schema extends z.ZodType>(
    schema: Schema,
    value: unknown,
    at: readonly PathStep[] = [],
    otherKeys: readonly string[] = [],
  ): z.output<Schema> | undefined {
    const parsed = schema.safeParse(value);
    if (parsed.success) return parsed.data;
    const keysAt = (path: readonly PathStep[]): readonly string[] => [
      ...knownKeys(schema, path),
      ...(path.length === 0 ? otherKeys : []),
    ];
    for (const { path, message, at: part } of misfits(value, parsed.error, keysAt))
      this.add([...at, ...path], message, part);
    return undefined;
  }

  get count(): number {
    return this.#issues.length;
  }

  /** In the order of the file. */
  sorted(): Issue[] {
    return sortIssues(this.#issues);
  }
}
