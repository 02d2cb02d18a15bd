import { type Issue, type PathStep, sortIssues } from './issue.ts';
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

  get count(): number {
    return this.#issues.length;
  }

  /** In the order of the file. */
  sorted(): Issue[] {
    return sortIssues(this.#issues);
  }
}
