/** The six channels of Alcove-6, in the order of its console, with the place of each in xy. */
export const channels = ['warm', 'cool', 'red', 'lime', 'cyan', 'indigo'] as const;

export const xys: [number, number][] = [
  [0.46, 0.41],
  [0.31, 0.33],
  [0.69, 0.3],
  [0.41, 0.54],
  [0.08, 0.4],
  [0.16, 0.02],
];
