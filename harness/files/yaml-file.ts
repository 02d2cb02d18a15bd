import { type Document, isAlias, isMap, isNode, isScalar, isSeq } from 'yaml';
import { type Issue, type PathStep, pathText } from './issue.ts';
import type { TextLines } from './text-lines.ts';

/** A YAML text that was read, its value, and the way back from a path in the value to a place in the text. */
export class YamlFile {
  readonly file: string;
  readonly value: unknown;
  readonly #document: Document;
  readonly #lines: TextLines;

  constructor(file: string, lines: TextLines, document: Document, value: unknown) {
    this.file = file;
    this.value = value;
    this.#document = document;
    this.#lines = lines;
  }

  /** An issue at the value of a path, or at its key; at the nearest thing around it where there is none. */
  issue(path: readonly PathStep[], message: string, at: 'value' | 'key' = 'value'): Issue {
    return issueAt(this.file, this.#lines, this.#locate(path, at), pathText(path), message);
  }

  /** Line of a value, from 1. */
  line(path: readonly PathStep[]): number {
    return this.#lines.at(this.#locate(path, 'value').start).line;
  }

  #locate(path: readonly PathStep[], at: 'value' | 'key'): Stretch {
    let node: unknown = this.#document.contents;
    let best = rangeOf(node) ?? { start: 0, end: 1 };
    for (const [index, step] of path.entries()) {
      if (isAlias(node)) node = node.resolve(this.#document);
      let key: unknown;
      if (isMap(node)) {
        const pair = node.items.find((item) => keyText(item.key) === String(step));
        key = pair?.key;
        node = pair?.value;
      } else {
        node = isSeq(node) && typeof step === 'number' ? node.items[step] : undefined;
      }
      const last = index === path.length - 1;
      const own = rangeOf(node);
      const wantsKey = (last && at === 'key') || !own || own.start === own.end;
      const found = (wantsKey ? rangeOf(key) : undefined) ?? own;
      if (!found) return best;
      best = found;
    }
    return best;
  }
}

/** A stretch of a text, by its offsets. */
interface Stretch {
  readonly start: number;
  readonly end: number;
}

/** An issue for a stretch of a text. */
export function issueAt(
  file: string,
  lines: TextLines,
  { start, end }: Stretch,
  path: string,
  message: string,
): Issue {
  const { line, column } = lines.at(start);
  const excerpt = lines.line(line);
  const length = Math.max(1, Math.min(end - start, excerpt.trimEnd().length - (column - 1)));
  return { file, line, column, path, message, excerpt, length };
}

function keyText(key: unknown): string {
  return isScalar(key) ? String(key.value) : '';
}

function rangeOf(node: unknown): Stretch | undefined {
  if (!isNode(node) || !node.range) return undefined;
  return { start: node.range[0], end: node.range[1] };
}
