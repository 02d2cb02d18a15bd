import { Complaint } from '../complaint.ts';
import type { FileText } from './read-file.ts';

const others = { lamp: 'rig', rig: 'lamp' } as const;

/** A file of the other kind, given to an option, would be met with forty issues, none of which is the mistake. Throws a Complaint. */
export function refuseSwapped(kind: 'lamp' | 'rig', { file, text }: FileText): void {
  const other = others[kind];
  const begins = (own: 'lamp' | 'rig'): boolean => new RegExp(`^${own}:`, 'm').test(text);
  if (begins(kind) || !begins(other)) return;
  throw new Complaint(
    'usage',
    `--${kind}: expected a ${kind} file, which begins with "${kind}: NAME", but ${file} is a ${other} file; give it with --${other}`,
  );
}
