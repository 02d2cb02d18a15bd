/**
 * The globals that browsers, Node and workers share and that only compute, with as much of each as the pure rooms use.
 * Clocks, random numbers, files, network and console are missing on purpose.
 */
declare class TextEncoder {
  encode(text?: string): Uint8Array<ArrayBuffer>;
}

declare class TextDecoder {
  constructor(label?: string, options?: { readonly fatal?: boolean; readonly ignoreBOM?: boolean });
  decode(bytes?: ArrayBufferLike | ArrayBufferView): string;
}

/** Bytes, a character each, as base64 (HTML Living Standard 8.3), and back. */
declare function btoa(bytes: string): string;
declare function atob(text: string): string;

declare class URLSearchParams {
  constructor(entries: Iterable<readonly [string, string]>);
  toString(): string;
}

/** Pure rooms hand it on and never look inside. */
interface AbortSignal {
  readonly aborted: boolean;
}
