import type { LinkTraits } from './traits.ts';

/** What becomes of one message after another on its way to the lamp. */
export class MessageFates {
  readonly #traits: LinkTraits;
  readonly #link: string;
  #messages = 0;

  constructor(traits: LinkTraits, link: string) {
    this.#traits = traits;
    this.#link = link;
  }

  /** Whether the next message is lost, and how many seconds late it arrives. */
  next(): { readonly lost: boolean; readonly late: number } {
    const index = this.#messages++;
    return {
      lost: this.#traits.loses(index, this.#link),
      late: this.#traits.latency(index, this.#link),
    };
  }
}
