/** A script or a style sheet as it stands inside a page, and its sha256 in base64 for the page's policy. */
export interface Asset {
  readonly text: string;
  readonly hash: string;
}

// The module itself is made from harness/report/script and style by `npm run assets`, which builds and tests call.
export const runPageScript: Asset;
export const liveRunScript: Asset;
export const labScript: Asset;
export const pageStyle: Asset;
export const archiveStyle: Asset;
export const challengeStyle: Asset;
export const releaseReportStyle: Asset;
