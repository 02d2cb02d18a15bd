import { deflateSync, inflateSync, strFromU8, strToU8 } from 'fflate';

/** With zlib less than half the time of the usual level, for an eighth more bytes. */
const level = 4;

/** Compresses as RFC 1951 has it, without a header. */
export type Deflate = (bytes: Uint8Array, options: { readonly level: typeof level }) => Uint8Array;

/**
 * A value as base64 of its compressed JSON: figures take an eighth of the room, and no text in it can end the element that it stands in.
 *
 * @param deflate a faster one where there is one, such as Node's: what stands here runs in a browser as well
 */
export function packed(value: unknown, deflate: Deflate = deflateSync): string {
  const json = strToU8(JSON.stringify(value));
  return btoa(strFromU8(deflate(json, { level }), true));
}

/** The value again. Throws where the text is none of `packed`. */
export function unpacked<T>(text: string): T {
  const json = inflateSync(strToU8(atob(text), true));
  return JSON.parse(strFromU8(json)) as T;
}
