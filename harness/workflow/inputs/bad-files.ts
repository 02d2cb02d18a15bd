import type { Issue } from '../../files/issue.ts';
import { renderIssues } from '../../files/render-issues.ts';
import { Complaint } from '../complaint.ts';

/** Every issue of a command's files at its place; `outcome` says in a last line what was not done because of them. */
export class BadFiles extends Complaint {
  readonly issues: readonly Issue[];
  readonly outcome: string | undefined;

  constructor(issues: readonly Issue[], outcome?: string) {
    super('bad-file', issueList(issues, outcome, false));
    this.issues = issues;
    this.outcome = outcome;
  }

  /** The message for a terminal. */
  rendered({ colour }: { readonly colour: boolean }): string {
    return issueList(this.issues, this.outcome, colour);
  }
}

function issueList(issues: readonly Issue[], outcome: string | undefined, colour: boolean): string {
  const list = renderIssues(issues, { colour });
  if (outcome === undefined) return list;
  const count = `${issues.length} issue${issues.length === 1 ? '' : 's'}`;
  return `${list}\n${count}; ${outcome}`;
}
