/** The link of steps that name none, among those of a rig, or of a lamp where no rig is known; undefined where there is none. */
export function usualLink(links: object): string | undefined {
  return 'console' in links ? 'console' : Object.keys(links)[0];
}
