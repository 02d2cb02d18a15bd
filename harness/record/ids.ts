import type { RunRecord } from './run-record.ts';

/** Length of the short id: 32 random bits keep ten thousand runs apart with odds of about 1 in 100 against any clash. */
const shortLength = 8;

/** What people type and what the folder's name ends in. */
export function shortId(id: string): string {
  return id.slice(0, shortLength);
}

/** `2026-11-25T07-08-57Z-alcove-6-1.4.2-3fa9c01b`: sorts by time, and is safe in every file system. */
export function runFolderName(record: Pick<RunRecord, 'id' | 'startedAt' | 'lamp'>): string {
  const utc = record.startedAt.replace(/\.\d+/, '').replaceAll(':', '-');
  return [utc, slug(record.lamp.name), slug(record.lamp.build), slug(shortId(record.id))].join('-');
}

function slug(text: string): string {
  const safe = text
    .normalize('NFKD')
    .toLowerCase()
    .replace(/[^a-z0-9.]+/g, '-')
    .replace(/\.{2,}/g, '.')
    .replace(/^[-.]+|[-.]+$/g, '');
  return safe.slice(0, 40) || 'unnamed';
}

/** One condition of one run, as a single string: spec, key and repeat. A tab can stand in none of the three. */
export function conditionId(
  spec: string,
  condition: { readonly key: string; readonly repeat: number },
): string {
  return `${spec}\t${condition.key}\t${condition.repeat}`;
}
