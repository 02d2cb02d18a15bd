import type { Lamp } from '../bench/lamp.ts';
import { oneLine } from '../files/describe-value.ts';
import { didYouMean } from '../files/did-you-mean.ts';
import type { PathStep } from '../files/issue.ts';
import type { IssueList } from '../files/issue-list.ts';
import { type FigureOptions, readFigure } from '../files/read-figure.ts';
import type { Raw, ValueReader } from '../plan/value-reader.ts';
import type { Dimension } from '../units/unit.ts';

const placeholder = /\$(\$|[a-z][a-z0-9]*(?:-[a-z0-9]+)*)/g;

/** What all places of a spec share, for one lamp and one point of the matrix. */
interface Setup {
  readonly lamp: Lamp;
  readonly lampFits: boolean;
  readonly issues: IssueList;
  readonly values: ReadonlyMap<string, Raw>;
  /** Gathers the conditions that are used. */
  readonly used: Set<string>;
  /** Conditions whose values are wrong in themselves: what uses them cannot be checked. */
  readonly unreadable: ReadonlySet<string>;
}

/** Reads what is written at one place of a spec file. `$$` is a dollar sign. */
export class ConditionReader implements ValueReader {
  readonly #setup: Setup;
  readonly #path: readonly PathStep[];

  constructor(setup: Setup, path: readonly PathStep[] = []) {
    this.#setup = setup;
    this.#path = path;
  }

  get lamp(): Lamp {
    return this.#setup.lamp;
  }

  get lampFits(): boolean {
    return this.#setup.lampFits;
  }

  /** Issues of the whole file so far. */
  get issueCount(): number {
    return this.#setup.issues.count;
  }

  /** Line of this place in the file. */
  get line(): number {
    return this.#setup.issues.yaml.line(this.#path);
  }

  at(...keys: readonly PathStep[]): ConditionReader {
    return new ConditionReader(this.#setup, [...this.#path, ...keys]);
  }

  report(message: string, written?: unknown, on: 'value' | 'key' = 'value'): void {
    this.#setup.issues.add(this.#path, `${message}${this.#origin(written)}`, on);
  }

  text(written: Raw, on: 'value' | 'key' = 'value'): string {
    const { values, used, unreadable, issues } = this.#setup;
    return String(written).replace(placeholder, (whole, word: string) => {
      if (word === '$') return '$';
      const value = values.get(word);
      if (unreadable.has(word)) return whole;
      if (value === undefined) {
        issues.add(this.#path, this.#unknown(word), on);
        return whole;
      }
      used.add(word);
      return String(value);
    });
  }

  figure(written: Raw, dimension: Dimension, options: FigureOptions = {}): number {
    const text = this.#resolved(written);
    if (text === null) return Number.NaN;
    const read = readFigure(text, dimension, options);
    if ('value' in read) return read.value;
    this.report(read.problem, written);
    return Number.NaN;
  }

  whole(written: Raw, least: number, most: number): number {
    const text = this.#resolved(written);
    if (text === null) return Number.NaN;
    const value = /^\s*(0x[0-9a-f]+|\d+)\s*$/i.test(text) ? Number(text) : Number.NaN;
    if (value >= least && value <= most) return value;
    const expected = `expected a whole number from ${least} to ${most}`;
    this.report(`${expected}, found ${oneLine(text) || 'nothing'}`, written);
    return Number.NaN;
  }

  /** The text, or null where a `$name` in it is unknown: one issue is enough. */
  #resolved(written: Raw): string | null {
    const before = this.issueCount;
    const text = this.text(written);
    return this.issueCount > before || text.match(placeholder) ? null : text;
  }

  #unknown(word: string): string {
    const names = [...this.#setup.values.keys()];
    const guess = didYouMean(word, names);
    const list = names.length > 0 ? `; conditions: ${names.join(', ')}` : '; the spec has none';
    return `$${word} is not a condition of this spec${guess || list}`;
  }

  /** ` (with fade-time = 2 V)` where a written value holds `$names`. */
  #origin(written: unknown): string {
    if (typeof written !== 'string') return '';
    const { values } = this.#setup;
    const names = [...written.matchAll(placeholder)].map((match) => match[1] ?? '');
    const known = names.filter((word) => values.has(word));
    const pairs = known.map((word) => `${word} = ${values.get(word)}`);
    return pairs.length > 0 ? ` (with ${pairs.join(', ')})` : '';
  }
}
