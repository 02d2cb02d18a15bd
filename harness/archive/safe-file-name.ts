import { ArchiveError } from './archive-error.ts';

/** Letters, digits and a few signs that no shell or file system treats specially; never a leading dot. */
const segment = /^[A-Za-z0-9_=+][A-Za-z0-9_.=+@-]{0,150}$/;

/** The name itself when it stays inside its folder on every file system; throws otherwise. Slashes may part segments. */
export function safeFileName(name: string): string {
  if (isSafeFileName(name)) return name;
  throw new ArchiveError(
    'bad-name',
    `expected a file name of letters, digits and . _ - + = @, found ${JSON.stringify(name.slice(0, 80))}`,
  );
}

export function isSafeFileName(name: string): boolean {
  const parts = name.split('/');
  return parts.length <= 3 && parts.every((part) => segment.test(part) && !part.endsWith('.part'));
}
