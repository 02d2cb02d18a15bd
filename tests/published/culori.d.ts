/** The part of the colour library that the tests use as an independent reference; it ships no types. */
declare module 'culori' {
  interface Coordinates {
    readonly mode: string;
    readonly l: number;
  }
  export function converter(
    mode: string,
  ): (colour: {
    readonly mode: string;
    readonly x: number;
    readonly y: number;
    readonly z: number;
  }) => Coordinates;
}
