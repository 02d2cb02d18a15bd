/** Lines of a text, for places in it. A line ends with \n or \r\n. */
export class TextLines {
  readonly text: string;
  readonly #starts: readonly number[];

  constructor(text: string) {
    this.text = text;
    const starts = [0];
    for (let at = text.indexOf('\n'); at >= 0; at = text.indexOf('\n', at + 1)) starts.push(at + 1);
    this.#starts = starts;
  }

  /** Line and column, both from 1, of an offset; past the end counts as the end. */
  at(offset: number): { readonly line: number; readonly column: number } {
    const place = Math.min(Math.max(0, offset), this.text.length);
    let low = 0;
    let high = this.#starts.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if ((this.#starts[middle] ?? 0) <= place) low = middle;
      else high = middle - 1;
    }
    return { line: low + 1, column: place - (this.#starts[low] ?? 0) + 1 };
  }

  /** A line without its end. */
  line(number: number): string {
    const start = this.#starts[number - 1] ?? this.text.length;
    const end = (this.#starts[number] ?? this.text.length + 1) - 1;
    const stop = this.text[end - 1] === '\r' ? end - 1 : end;
    return this.text.slice(start, Math.max(start, stop));
  }
}
