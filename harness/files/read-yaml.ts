import {
  type Alias,
  Composer,
  type CST,
  type Document,
  isScalar,
  visit,
  type YAMLError,
} from 'yaml';
import { oneLine } from './describe-value.ts';
import { tokenize, yamlLimits } from './guard-yaml.ts';
import type { Issue } from './issue.ts';
import { TextLines } from './text-lines.ts';
import { issueAt, YamlFile } from './yaml-file.ts';

/** More would bury the first one. */
const mostIssues = 100;

export type ReadYaml =
  /** `issues` beside a file: it can be read on, so that all that is wrong is told at once. */
  | { readonly yaml: YamlFile; readonly issues: readonly Issue[] }
  | { readonly yaml: null; readonly issues: readonly Issue[] };

/**
 * Reads one YAML 1.2 document with text keys. A byte order mark and CRLF are accepted; duplicate keys, unknown tags,
 * several documents and aliases that multiply are issues. Never throws on any text.
 */
export function readYaml(source: string, file: string): ReadYaml {
  const text = source.startsWith('\ufeff') ? source.slice(1) : source;
  const lines = new TextLines(text);
  const at = (start: number, end: number, message: string): Issue =>
    issueAt(file, lines, { start, end }, '', message);
  const tokenized = tokenize(text);
  if ('danger' in tokenized) {
    const { offset, message } = tokenized.danger;
    return { yaml: null, issues: [at(offset, offset + 1, message)] };
  }
  const [document, second] = compose(tokenized.tokens, text.length);
  const syntax = [...document.errors, ...document.warnings]
    .slice(0, mostIssues)
    .map((error) => at(error.pos[0], error.pos[1], syntaxMessage(error)));
  if (second) {
    const message = 'expected one document, found a second one; give each its own file';
    syntax.push(at(second.range[0], second.range[0] + 3, message));
  }
  if (syntax.length > 0) return { yaml: null, issues: syntax };
  if (document.contents === null) {
    return {
      yaml: null,
      issues: [at(0, 1, 'expected a mapping, found an empty file')],
    };
  }
  const doubled = doubledKeys(document, at);
  const alias = strayAlias(document);
  if (alias) {
    const message = `the alias *${oneLine(alias.source)} has no anchor &${oneLine(alias.source)} before it`;
    const [start, end] = alias.range ?? [0, 1];
    return { yaml: null, issues: [...doubled, at(start, end, message)] };
  }
  const value = plainValue(document);
  if (value === tooManyAliases) {
    const message = `aliases expand to more than ${yamlLimits.aliases} copies; write the values out`;
    return { yaml: null, issues: [...doubled, at(0, 1, message)] };
  }
  return { yaml: new YamlFile(file, lines, document, value), issues: doubled };
}

/** The first document, and the second where there is one. A text without any gives an empty document. */
function compose(
  tokens: readonly CST.Token[],
  end: number,
): readonly [Document.Parsed, Document.Parsed | undefined] {
  const composer = new Composer({ stringKeys: true, uniqueKeys: false, logLevel: 'error' });
  const [first, second] = [...composer.compose(tokens, true, end)];
  return [first as Document.Parsed, second as Document.Parsed | undefined];
}

const tooManyAliases = Symbol('too many aliases');

function plainValue(document: Document): unknown {
  try {
    return document.toJS({ maxAliasCount: yamlLimits.aliases });
  } catch (error) {
    if (error instanceof ReferenceError) return tooManyAliases;
    throw error;
  }
}

/** An alias whose anchor is missing. */
function strayAlias(document: Document): Alias | null {
  let stray: Alias | null = null;
  visit(document, {
    Alias(_, alias) {
      if (alias.resolve(document) !== undefined) return undefined;
      stray = alias;
      return visit.BREAK;
    },
  });
  return stray;
}

function doubledKeys(
  document: Document,
  at: (start: number, end: number, message: string) => Issue,
): Issue[] {
  const issues: Issue[] = [];
  visit(document, {
    Map(_, map) {
      const seen = new Set<string>();
      for (const { key } of map.items) {
        if (!isScalar(key)) continue;
        const name = String(key.value);
        if (seen.has(name) && issues.length < mostIssues) {
          const [start, end] = key.range ?? [0, 1];
          const message = `the key "${oneLine(name)}" appears twice; keep one`;
          issues.push(at(start, end, message));
        }
        seen.add(name);
      }
    },
  });
  return issues;
}

/** The parser's own words, where they are the clearest there are. */
function syntaxMessage({ code, message }: YAMLError): string {
  switch (code) {
    case 'TAB_AS_INDENT':
      return 'expected spaces, found a tab; YAML is indented with spaces only';
    case 'TAG_RESOLVE_FAILED':
      return `expected plain values, found a YAML tag (${oneLine(message)})`;
    case 'NON_STRING_KEY':
      return 'expected plain text as a key, found a list, a mapping or an alias';
    default:
      return /sufficiently indented/.test(message)
        ? 'a bracket opened above is still open; close it, or indent this line'
        : `not valid YAML: ${oneLine(message, 160)}`;
  }
}
