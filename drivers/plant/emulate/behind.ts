/** Answers of one conversation, for the trouble `behind`: each question gets the answer of the one before. */
export class Behind {
  #before: Uint8Array | null = null;

  /** What goes out; null where there was no answer before. */
  take(answer: Uint8Array, struck: boolean): Uint8Array | null {
    const shown = struck ? this.#before : answer;
    this.#before = answer;
    return shown;
  }
}
