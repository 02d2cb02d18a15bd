import { type DebugBytes, DebugInfoError } from './debug-bytes.ts';
import { type DebugSections, debugBytes } from './debug-sections.ts';
import { type Form, readForm } from './forms.ts';

/** From `address` on, up to the next row, the code comes from this line; 0: from none. */
interface LineRow {
  readonly address: number;
  /** Place in the list of files of the unit. */
  readonly file: number;
  readonly line: number;
}

/** The lines of one compilation unit. */
export interface LineTable {
  /** Paths as the compiler noted them, by their numbers: from 1 on before DWARF 5. They may begin in the compiler's folder. */
  readonly files: readonly string[];
  /** Stretches of code whose rows ascend; the last row is where the stretch ends. */
  readonly sequences: readonly (readonly LineRow[])[];
}

/** More rows than this are no firmware of a lamp. */
const mostRows = 2 ** 22;
const mostFiles = 2 ** 16;

/**
 * The line table at an offset of the section `line`. Throws DebugInfoError.
 * Source: DWARF 5, section 6.2 (line programs; 6.2.4 header, 6.2.5 instructions), and DWARF 4, section 6.2.4, from memory.
 */
export function lineTableAt(sections: DebugSections, offset: number): LineTable {
  const { body, offsetSize } = debugBytes(sections, 'line', offset).unit();
  const version = body.unsigned(2);
  if (version < 2 || version > 5) throw new DebugInfoError(`its lines have version ${version}`);
  if (version === 5) body.skip(2);
  const headerLength = body.unsigned(offsetSize);
  const start = body.at + headerLength;
  const least = body.unsigned(1);
  if (version >= 4) body.skip(1);
  body.skip(1);
  const base = body.signedByte();
  const range = body.unsigned(1);
  const opcodeBase = body.unsigned(1);
  if (range === 0 || opcodeBase === 0) throw new DebugInfoError('its lines have no range');
  const operands = Array.from({ length: opcodeBase - 1 }, () => body.unsigned(1));
  const files = version === 5 ? filesOf5(body, sections, offsetSize) : filesBefore5(body);
  body.skip(start - body.at);
  return { files, sequences: sequencesOf(body, { least, base, range, opcodeBase, operands }) };
}

function filesBefore5(body: DebugBytes): string[] {
  // Folder 0 is that of the compiler, which stands elsewhere.
  const folders = [''];
  for (let name = body.text(); name !== ''; name = body.text()) folders.push(name);
  const files = [''];
  for (let name = body.text(); name !== ''; name = body.text()) {
    files.push(joinedPath(folders[body.uleb()], name));
    for (let k = 0; k < 2; k++) body.uleb();
  }
  return files;
}

function joinedPath(folder: string | undefined, name: string): string {
  return folder && !name.startsWith('/') ? `${folder}/${name}` : name;
}

/** DW_LNCT_path and DW_LNCT_directory_index. */
const content = { path: 1, folder: 2 } as const;

function filesOf5(body: DebugBytes, sections: DebugSections, offsetSize: number): string[] {
  const folders = entriesOf5(body, sections, offsetSize).map(({ name }) => name);
  const [own = ''] = folders;
  return entriesOf5(body, sections, offsetSize).map(({ name, folder }) =>
    joinedPath(joinedPath(own, folders[folder] ?? ''), name),
  );
}

/** A list of directories or files, each described by the same contents in the same forms. */
function entriesOf5(
  body: DebugBytes,
  sections: DebugSections,
  offsetSize: number,
): { readonly name: string; readonly folder: number }[] {
  const unit = { version: 5, offsetSize, addressSize: 4 };
  const formats = Array.from({ length: body.unsigned(1) }, (): [number, Form] => [
    body.uleb(),
    { number: body.uleb() },
  ]);
  const paths: { name: string; folder: number }[] = [];
  for (let left = body.uleb(); left > 0; left--) {
    if (paths.length === mostFiles) throw new DebugInfoError('it has too many files');
    const entry = { name: '', folder: 0 };
    for (const [what, form] of formats) {
      const value = readForm(body, form, unit);
      if (what === content.folder && value.kind === 'number') entry.folder = value.value;
      if (what !== content.path) continue;
      if (value.kind === 'text') entry.name = value.text;
      else if (value.kind === 'text-at')
        entry.name = debugBytes(sections, value.section, value.value).text();
    }
    paths.push(entry);
  }
  return paths;
}

interface Program {
  readonly least: number;
  readonly base: number;
  readonly range: number;
  readonly opcodeBase: number;
  /** How many numbers of variable length follow each standard instruction. */
  readonly operands: readonly number[];
}

/** Standard and extended instructions. DWARF 5, sections 7.22. */
const op = { copy: 1, advancePc: 2, advanceLine: 3, setFile: 4, addPc: 8, fixedPc: 9 } as const;
const extended = { endSequence: 1, setAddress: 2 } as const;

function sequencesOf(body: DebugBytes, program: Program): LineRow[][] {
  const sequences: LineRow[][] = [];
  let [rows, state] = [[] as LineRow[], { address: 0, file: 1, line: 1 }];
  let left = mostRows;
  const row = (): void => {
    if (left-- === 0) throw new DebugInfoError('it has too many lines');
    rows.push({ ...state });
  };
  while (body.more) {
    const opcode = body.unsigned(1);
    if (opcode >= program.opcodeBase) {
      const step = opcode - program.opcodeBase;
      state.address += Math.floor(step / program.range) * program.least;
      state.line += program.base + (step % program.range);
      row();
    } else if (opcode !== 0) {
      if (opcode === op.copy) row();
      else standard(body, opcode, state, program);
    } else if (extendedInstruction(body, state) === extended.endSequence) {
      row();
      sequences.push(rows);
      [rows, state] = [[], { address: 0, file: 1, line: 1 }];
    }
  }
  return sequences;
}

type State = { -readonly [Part in keyof LineRow]: number };

function standard(body: DebugBytes, opcode: number, state: State, program: Program): void {
  const { least, range, opcodeBase, operands } = program;
  if (opcode === op.advancePc) state.address += body.uleb() * least;
  else if (opcode === op.advanceLine) state.line += body.sleb();
  else if (opcode === op.setFile) state.file = body.uleb();
  else if (opcode === op.addPc) state.address += Math.floor((255 - opcodeBase) / range) * least;
  else if (opcode === op.fixedPc) state.address += body.unsigned(2);
  else for (let left = operands[opcode - 1] ?? 0; left > 0; left--) body.uleb();
}

function extendedInstruction(body: DebugBytes, state: State): number {
  const length = body.uleb();
  const end = body.at + length;
  const opcode = length === 0 ? 0 : body.unsigned(1);
  if (opcode === extended.setAddress) state.address = body.unsigned(length - 1);
  body.skip(end - body.at);
  return opcode;
}
