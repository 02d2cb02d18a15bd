/** One signature over the run, as its verified statement tells it. */
export interface Signature {
  readonly name: string;
  readonly signedAt: string;
  readonly meaning: string;
  readonly decision: string;
  /** Id of the key that signed. */
  readonly key: string;
  readonly waivers: readonly {
    readonly claim: string;
    readonly verdict: string;
    readonly reason: string;
  }[];
}
