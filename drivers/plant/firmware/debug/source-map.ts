import { bisector } from 'd3-array';
import { joined, leb128 } from '../wasm-sections.ts';
import { type DebugSections, debugBytes, debugSectionsOf } from './debug-sections.ts';
import { attribute, DebugUnit, numberOf } from './debug-unit.ts';
import { type LineTable, lineTableAt } from './line-table.ts';
import { originalPlaces } from './original-offset.ts';

interface Line {
  readonly path: string;
  readonly line: number;
}

/**
 * A rewritten module with a source map in it, by which debuggers show the lines of the build's sources: of the instructions that call or
 * can trap. `module` is what `running` of `modules` is, and is handed back as it is where the build tells no lines.
 * Source: ECMA-426 (source map format; for WebAssembly a generated column is an offset in the module), and the tool conventions of
 * WebAssembly (`sourceMappingURL`), from memory.
 */
export function withSourceMap(modules: {
  readonly build: Uint8Array;
  readonly running: Uint8Array;
}): Uint8Array {
  const { build, running } = modules;
  try {
    const lineOf = linesOf(debugSectionsOf(build));
    const mapped = [...originalPlaces(modules)].flatMap(([offset, { offset: at }]) => {
      const line = lineOf(at);
      return line ? [{ offset, ...line }] : [];
    });
    if (mapped.length === 0) return running;
    return joined([running, customSection('sourceMappingURL', dataUrl(sourceMap(mapped)))]);
  } catch {
    // Without lines it runs all the same.
    return running;
  }
}

/** The line of an offset in the code section; null where the build names none. */
function linesOf(sections: DebugSections): (offset: number) => Line | null {
  const stretches = unitsOf(sections)
    .flatMap(({ folder, table }) =>
      table.sequences.map((rows) => ({ folder, files: table.files, rows })),
    )
    // What the linker left out begins at 0, or nowhere.
    .filter(({ rows }) => (rows[0]?.address ?? 0) > 0)
    .sort((a, b) => (a.rows[0]?.address ?? 0) - (b.rows[0]?.address ?? 0));
  const places = bisector((stretch: (typeof stretches)[number]) => stretch.rows[0]?.address ?? 0);
  return (offset) => {
    const found = stretches[places.right(stretches, offset) - 1];
    if (!found || (found.rows.at(-1)?.address ?? 0) <= offset) return null;
    const row = found.rows.findLast(({ address }) => address <= offset);
    const file = row && found.files[row.file];
    if (!row || !file || row.line <= 0) return null;
    return { path: file.startsWith('/') ? file : `${found.folder}/${file}`, line: row.line };
  };
}

function unitsOf(
  sections: DebugSections,
): { readonly folder: string; readonly table: LineTable }[] {
  const units: { folder: string; table: LineTable }[] = [];
  const info = debugBytes(sections, 'info');
  while (info.more) {
    const unit = new DebugUnit(sections, info.at);
    info.unit();
    const at = numberOf(unit.root.values.get(attribute.lineTable));
    const folder = unit.textOf(unit.root.values.get(attribute.folder)) ?? '';
    if (at !== null) units.push({ folder, table: lineTableAt(sections, at) });
  }
  return units;
}

function sourceMap(mapped: readonly (Line & { readonly offset: number })[]): string {
  const sources = [...new Set(mapped.map(({ path }) => path))];
  const place = new Map(sources.map((path, index) => [path, index]));
  let [offset, source, line] = [0, 0, 0];
  const segments = mapped
    .toSorted((a, b) => a.offset - b.offset)
    .map((one) => {
      const own = place.get(one.path) ?? 0;
      const fields = [one.offset - offset, own - source, one.line - 1 - line, 0];
      [offset, source, line] = [one.offset, own, one.line - 1];
      return fields.map(base64Vlq).join('');
    });
  const urls = sources.map((path) => `file://${encodeURI(path)}`);
  return JSON.stringify({ version: 3, sources: urls, names: [], mappings: segments.join(',') });
}

const digits = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/';

/** Five bits a digit, the lowest first; the lowest of all is the sign. */
function base64Vlq(value: number): string {
  let rest = value < 0 ? -2 * value + 1 : 2 * value;
  let text = '';
  do {
    const five = rest % 32;
    rest = Math.floor(rest / 32);
    text += digits[five + (rest > 0 ? 32 : 0)];
  } while (rest > 0);
  return text;
}

function dataUrl(json: string): string {
  return `data:application/json;base64,${Buffer.from(json).toString('base64')}`;
}

/** Both the name and what follows it are texts after their lengths. Source: WebAssembly Core Specification 2.0, section 5.5.3. */
function customSection(name: string, content: string): Uint8Array {
  const text = (value: string): number[] => {
    const bytes = [...new TextEncoder().encode(value)];
    return [...leb128(bytes.length), ...bytes];
  };
  const body = [...text(name), ...text(content)];
  return Uint8Array.from([0, ...leb128(body.length), ...body]);
}
