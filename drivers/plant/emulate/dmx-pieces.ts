import { lengthOfRdm, rdmStartCode } from '../../dmx/rdm/rdm-packet.ts';

/** What came on a line: a break, or a byte of a frame. */
export type LineEvent = 'break' | number;

/**
 * Frames of a DMX512 line out of the pieces in which a pseudo-terminal hands its bytes over. A zero byte stands for a break; on a
 * busy computer pieces come together or apart. A piece of one zero byte is a break; messages of RDM end where they say; a light
 * frame has the lamp's slots at least, and goes on to the end of its piece, unless what follows looks like the next frame.
 */
export class DmxPieces {
  /** Bytes of a light frame, START code counted. */
  readonly #least: number;
  /** Of the frame under way, behind its break; null between two frames. */
  #frame: number[] | null = null;

  constructor(least: number) {
    this.#least = least;
  }

  take(piece: Uint8Array): readonly LineEvent[] {
    const events: LineEvent[] = [];
    const begin = (): void => {
      this.#frame = [];
      events.push('break');
    };
    if (piece.length === 1 && piece[0] === 0) {
      begin();
      return events;
    }
    for (const [index, byte] of piece.entries()) {
      if (!this.#frame) {
        // Between two frames only a break counts.
        if (byte === 0) begin();
        continue;
      }
      if (this.#isOver(piece.subarray(index))) {
        begin();
        continue;
      }
      this.#frame.push(byte);
      events.push(byte);
      if (this.#isWholeMessage()) this.#frame = null;
    }
    const length = this.#frame?.length ?? 0;
    if (this.#frame?.[0] !== rdmStartCode && length >= this.#least) this.#frame = null;
    return events;
  }

  /** The light frame under way has just what it needs, and the rest of the piece begins another one. */
  #isOver(rest: Uint8Array): boolean {
    const frame = this.#frame ?? [];
    if (frame[0] === rdmStartCode || frame.length !== this.#least || rest[0] !== 0) return false;
    return rest.length === 1 || rest[1] === rdmStartCode || rest.length === 1 + this.#least;
  }

  #isWholeMessage(): boolean {
    const frame = this.#frame ?? [];
    if (frame[0] !== rdmStartCode) return false;
    const length = lengthOfRdm(frame);
    return length !== null && frame.length >= length;
  }
}
