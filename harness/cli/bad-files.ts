import type { Issue } from '../files/issue.ts';
import { renderIssues } from '../files/render-issues.ts';
import { counted } from '../report/text/summary.ts';
import { Complaint } from './complaint.ts';
import { exitCodes } from './exit-codes.ts';
import type { Io } from './io.ts';

/** Every issue of a command's files at its place; `outcome` says in a last line what was not done for them. */
export function badFiles(
  issues: readonly Issue[],
  { colour }: Pick<Io, 'colour'>,
  outcome?: string,
): Complaint {
  const list = renderIssues(issues, { colour });
  if (outcome === undefined) return new Complaint(exitCodes.badFile, list);
  const count = counted(issues.length, 'issue');
  return new Complaint(exitCodes.badFile, `${list}\n${count}; ${outcome}`);
}
