import { existsSync } from 'node:fs';
import { join, relative, resolve } from 'node:path';
import { listRunFolders } from '../archive/list-run-folders.ts';
import { recordFile } from '../archive/record-file.ts';
import { Complaint } from './complaint.ts';
import { exitCodes } from './exit-codes.ts';

/**
 * The folder of a stored run, as people name one: a path, the start of a folder's name in the archive, or the start of
 * its short id (the name's last part). `latest` is the youngest. Throws a Complaint when none or several fit.
 */
export async function findRunFolder(run: string, archive: string, cwd: string): Promise<string> {
  const path = resolve(cwd, run);
  if (existsSync(join(path, recordFile))) return path;
  const root = resolve(cwd, archive);
  const names = await listRunFolders(root);
  const youngest = names[names.length - 1];
  if (run === 'latest' && youngest) return join(root, youngest);
  const fits = names.filter((name) => fitsName(name, run));
  if (fits.length === 1) return join(root, fits[0]!);
  throw new Complaint(
    exitCodes.noInput,
    fits.length === 0 ? nothingFits(run, root, cwd, names) : severalFit(run, fits),
  );
}

function fitsName(name: string, run: string): boolean {
  const id = name.slice(name.lastIndexOf('-') + 1);
  // A whole run id is longer than the part of it that the folder is called by.
  return (
    run !== '' &&
    (name.startsWith(run) || id.startsWith(run) || (run.length > 8 && run.startsWith(id)))
  );
}

function nothingFits(run: string, root: string, cwd: string, names: readonly string[]): string {
  const shown = relative(cwd, root) || root;
  const hint =
    names.length > 0
      ? `the youngest there is ${names[names.length - 1]}`
      : 'there is none yet: evenfall run specs makes one';
  return `expected a run's folder or the start of its id, found nothing called "${run}" here or in ${shown}; ${hint}`;
}

function severalFit(run: string, fits: readonly string[]): string {
  const list = fits.slice(0, 5).join(', ');
  const more = fits.length > 5 ? ` and ${fits.length - 5} more` : '';
  return `"${run}" is the start of ${fits.length} runs (${list}${more}); give more of it`;
}
