import type { Lamp } from '../bench/lamp.ts';
import { oneLine } from '../files/describe-value.ts';
import { didYouMean } from '../files/did-you-mean.ts';
import type { PathStep } from '../files/issue.ts';
import type { IssueList } from '../files/issue-list.ts';
import { type FigureOptions, readFigure } from '../files/read-figure.ts';
import type { Dimension } from '../units/unit.ts';
import type { Raw } from './spec-schema.ts';

export type Path = readonly PathStep[];

const placeholder = /\$(\$|[a-z][a-z0-9]*(?:-[a-z0-9]+)*)/g;

/**
 * Reads the written values of one point of the matrix: puts the condition's values where `$name` stands, turns
 * figures into SI, and says what is wrong and for which values. `$$` is a dollar sign.
 */
export class ConditionReader {
  readonly lamp: Lamp;
  /** The lamp lacks what the spec says it needs: what the spec says of the lamp cannot be held against this one. */
  readonly lampFits: boolean;
  readonly issues: IssueList;
  readonly #values: ReadonlyMap<string, Raw>;
  readonly #used: Set<string>;
  readonly #unreadable: ReadonlySet<string>;

  constructor(setup: {
    readonly lamp: Lamp;
    readonly lampFits: boolean;
    readonly issues: IssueList;
    readonly values: ReadonlyMap<string, Raw>;
    readonly used: Set<string>;
    /** Conditions whose values are wrong in themselves: what uses them cannot be checked. */
    readonly unreadable: ReadonlySet<string>;
  }) {
    this.lamp = setup.lamp;
    this.lampFits = setup.lampFits;
    this.issues = setup.issues;
    this.#values = setup.values;
    this.#used = setup.used;
    this.#unreadable = setup.unreadable;
  }

  /** An issue about a written value; where it came by a `$name`, the sentence says with which value. */
  report(path: Path, message: string, written?: unknown, at: 'value' | 'key' = 'value'): void {
    this.issues.add(path, `${message}${this.#origin(written)}`, at);
  }

  /** A text with every `$name` put in. */
  text(written: Raw, path: Path, at: 'value' | 'key' = 'value'): string {
    return String(written).replace(placeholder, (whole, word: string) => {
      if (word === '$') return '$';
      const value = this.#values.get(word);
      if (this.#unreadable.has(word)) return whole;
      if (value === undefined) {
        this.issues.add(path, this.#unknown(word), at);
        return whole;
      }
      this.#used.add(word);
      return String(value);
    });
  }

  /** A figure in SI; NaN where it is none (an issue was added). */
  figure(written: Raw, path: Path, dimension: Dimension, options: FigureOptions = {}): number {
    const text = this.#resolved(written, path);
    if (text === null) return Number.NaN;
    const read = readFigure(text, dimension, options);
    if ('value' in read) return read.value;
    this.report(path, read.problem, written);
    return Number.NaN;
  }

  /** A whole number within bounds. */
  whole(written: Raw, path: Path, least: number, most: number): number {
    const text = this.#resolved(written, path);
    if (text === null) return Number.NaN;
    const value = /^\s*(0x[0-9a-f]+|\d+)\s*$/i.test(text) ? Number(text) : Number.NaN;
    if (value >= least && value <= most) return value;
    const expected = `expected a whole number from ${least} to ${most}`;
    this.report(path, `${expected}, found ${oneLine(text) || 'nothing'}`, written);
    return Number.NaN;
  }

  /** The text, or null where a `$name` in it is unknown: one issue is enough. */
  #resolved(written: Raw, path: Path): string | null {
    const before = this.issues.count;
    const text = this.text(written, path);
    return this.issues.count > before || text.match(placeholder) ? null : text;
  }

  #unknown(word: string): string {
    const names = [...this.#values.keys()];
    const guess = didYouMean(word, names);
    const list = names.length > 0 ? `; conditions: ${names.join(', ')}` : '; the spec has none';
    return `$${word} is not a condition of this spec${guess || list}`;
  }

  #origin(written: unknown): string {
    if (typeof written !== 'string') return '';
    const names = [...written.matchAll(placeholder)].map((match) => match[1] ?? '');
    const known = names.filter((word) => this.#values.has(word));
    const pairs = known.map((word) => `${word} = ${this.#values.get(word)}`);
    return pairs.length > 0 ? ` (with ${pairs.join(', ')})` : '';
  }
}
