import type { DroppedLines, FirmwareLog, LoggedLine } from '../../harness/bench/firmware-log.ts';
import { visibleText } from '../../harness/files/visible-text.ts';

/** Lines that are kept of the beginning, and as many of the end: there the fault is. Stated in lamp-port.h. */
const mostLines = 500;
/** Bytes of a line that are kept. */
const longestLine = 200;

/** Keeps what firmware logs, within bounds. */
export class LogKeeper {
  readonly #first: LoggedLine[] = [];
  readonly #last: (LoggedLine & { readonly bytes: number })[] = [];
  #dropped: DroppedLines | null = null;

  /** One call of the port; a text of several lines is as many. */
  log(at: number, text: Uint8Array): void {
    for (const line of linesOf(text)) this.#keep({ at, text: shortText(line) }, line.length);
  }

  kept(): FirmwareLog {
    const last = this.#last.map(({ at, text }) => ({ at, text }));
    return { lines: [...this.#first, ...last], dropped: this.#dropped };
  }

  #keep(line: LoggedLine, bytes: number): void {
    if (this.#first.length < mostLines) {
      this.#first.push(line);
      return;
    }
    this.#last.push({ ...line, bytes });
    const out = this.#last.length > mostLines && this.#last.shift();
    if (out) this.#drop(out);
  }

  #drop({ at, bytes }: LoggedLine & { readonly bytes: number }): void {
    const { lines, bytes: before, from } = this.#dropped ?? { lines: 0, bytes: 0, from: at };
    this.#dropped = { lines: lines + 1, bytes: before + bytes, from, to: at };
  }
}

/** Line ends, LF or CR LF, part them; one at the end, as `puts` makes it, begins no other line. */
function linesOf(text: Uint8Array): Uint8Array[] {
  const lines: Uint8Array[] = [];
  for (let from = 0; from <= text.length; ) {
    const end = text.indexOf(0x0a, from);
    const to = end < 0 ? text.length : end;
    if (end >= 0 || to > from || lines.length === 0)
      lines.push(text.subarray(from, text[to - 1] === 0x0d && to > from ? to - 1 : to));
    from = to + 1;
  }
  return lines;
}

function shortText(line: Uint8Array): string {
  if (line.length <= longestLine) return visibleText(line);
  // Not within a character: UTF-8 goes on with bytes 10xxxxxx.
  let end = longestLine;
  while (end > longestLine - 3 && ((line[end] ?? 0) & 0xc0) === 0x80) end--;
  return `${visibleText(line.subarray(0, end))} … and ${line.length - end} bytes more`;
}
