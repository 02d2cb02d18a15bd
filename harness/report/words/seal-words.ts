import { plainLine } from '../../files/plain-text.ts';

/** What looking at the files of a stored run came to; the archive's check fits it. */
export interface StoredSeal {
  readonly state: 'sealed' | 'not sealed' | 'altered';
  readonly problems: readonly { readonly file: string; readonly text: string }[];
}

/** Files that one sentence names. */
const mostNamed = 5;

/** What a reader has to know before any figure of the run; null where all is as it was sealed. */
export function sealWarning({ state, problems }: StoredSeal): string | null {
  if (state === 'sealed') return null;
  if (state === 'not sealed')
    return 'not sealed: the run has not ended, or its seal was removed; nothing proves that its files are as they were stored';
  const named = problems.slice(0, mostNamed).map(({ file, text }) => plainLine(`${file} ${text}`));
  const more = problems.length - named.length;
  const rest = more > 0 ? `; and ${more} more` : '';
  return `altered since it was sealed: ${named.join('; ')}${rest}. These figures are no evidence`;
}
