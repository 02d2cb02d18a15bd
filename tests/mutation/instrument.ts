import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { Instrumenter } from '@stryker-mutator/instrumenter';

/** Lines `first` to `last` of a file, counted from 1; of the whole file where they are absent. */
export interface Source {
  readonly file: string;
  readonly first?: number;
  readonly last?: number;
}

/** One small change of the code. */
export interface Change {
  readonly id: string;
  /** From the root. */
  readonly file: string;
  /** Of its first character, counted from 1. */
  readonly line: number;
  readonly original: string;
  readonly replacement: string;
}

export interface Instrumented {
  readonly changes: readonly Change[];
  /** Code that holds every change, one of them active at a time; by absolute path. */
  readonly code: Readonly<Record<string, string>>;
}

const silent = {
  ...{ isTraceEnabled: no, isDebugEnabled: no, isInfoEnabled: no },
  ...{ isWarnEnabled: no, isErrorEnabled: no, isFatalEnabled: no },
  ...{ trace() {}, debug() {}, info() {}, warn() {}, error() {}, fatal() {} },
};

function no(): boolean {
  return false;
}

export async function instrument(sources: readonly Source[]): Promise<Instrumented> {
  const { files, mutants } = await new Instrumenter(silent).instrument(
    sources.map(({ file, first, last }) => ({
      name: resolve(file),
      content: readFileSync(file, 'utf8'),
      mutate: first === undefined || last === undefined || [lines(first, last)],
    })),
    { plugins: null, excludedMutations: [], ignorers: [] },
  );
  return {
    code: Object.fromEntries(files.map(({ name, content }) => [name, content])),
    changes: mutants.map(({ id, fileName, location, replacement }) => ({
      id,
      file: fileName.slice(fileName.lastIndexOf('/harness/') + 1),
      line: location.start.line + 1,
      original: oneLine(textBetween(fileName, location)),
      replacement: oneLine(replacement),
    })),
  };
}

interface Place {
  /** Counted from 0, as the columns are. */
  readonly line: number;
  readonly column: number;
}

function lines(first: number, last: number): { start: Place; end: Place } {
  return { start: { line: first - 1, column: 0 }, end: { line: last, column: 0 } };
}

function textBetween(file: string, { start, end }: { start: Place; end: Place }): string {
  const rows = readFileSync(file, 'utf8')
    .split('\n')
    .slice(start.line, end.line + 1);
  const last = rows.length - 1;
  return rows
    .map((row, k) => row.slice(k === 0 ? start.column : 0, k === last ? end.column : undefined))
    .join(' ');
}

function oneLine(text: string): string {
  return text.replace(/\s+/g, ' ');
}
