/** `fade time 8 s, level 1 %` for the key `fade-time=8 s, level=1 %`; nothing for the only condition of a claim. */
export function conditionWords(key: string): string {
  return key.replace(
    /(^|, )([a-z][a-z0-9-]*)=/g,
    (_, before: string, name: string) => `${before}${name.replaceAll('-', ' ')} `,
  );
}

/** A claim's id, and which of its conditions is meant: `fades-on-time, fade time 8 s`. */
export function claimCondition(spec: string, key: string): string {
  return key === '' ? spec : `${spec}, ${conditionWords(key)}`;
}

/** Whether a text names that condition: some of the values in its key (`fade-time=2 s`), or the words that are printed for them (`fade time 2 s`). */
export function namesCondition(text: string, key: string): boolean {
  const own = [...partsOf(key), ...partsOf(conditionWords(key))];
  return partsOf(text).every((part) => own.includes(part));
}

function partsOf(text: string): string[] {
  return text.split(',').map((part) => part.replace(/\s+/g, ''));
}
