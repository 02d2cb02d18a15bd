/** How the process ends; README lists them for CI. 64..77 follow the BSD sysexits convention. */
export const exitCodes = {
  pass: 0,
  fail: 1,
  inconclusive: 2,
  bench: 3,
  usage: 64,
  badFile: 65,
  noInput: 66,
  unreachable: 69,
  internal: 70,
  cannotCreate: 73,
  locked: 75,
  refused: 77,
  interrupted: 130,
  terminated: 143,
} as const;
