/** What a value is in the file: a number, a line that is high or low, or a text, which a viewer shows as ASCII. */
type VcdKind = 'real' | 'bit' | 'text';

/** One line of a viewer: it has each value from its instant until the next. */
export interface VcdChannel {
  /** Letters, digits and `_`. */
  readonly name: string;
  readonly kind: VcdKind;
  /** In order, s on the condition's time line. */
  readonly at: ArrayLike<number>;
  /** Numbers, 0 and 1, or texts. */
  readonly values: ArrayLike<number> | readonly string[];
}

/** A name that every viewer takes: of a signal, its subject and its unit. */
export function channelName(...parts: readonly string[]): string {
  const words = parts
    .filter(Boolean)
    .map((part) => part.replaceAll('%', 'percent').replaceAll('°', 'deg').replaceAll(/[µμ]/g, 'u'));
  return words
    .join('_')
    .normalize('NFKD')
    .replace(/[^A-Za-z0-9_]+/g, '_')
    .replace(/^_+|_+$/g, '');
}
