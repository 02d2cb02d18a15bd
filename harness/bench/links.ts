/** What a link is, whoever carries it: a rig's own drivers or the simulated bench. One entry a link. */
export interface LinkFacts {
  /** In a sentence. */
  readonly title: string;
  /** What is sent on it as it is, in the plural; null where nothing can be. */
  readonly messages: string | null;
  /** What the lamp answers: lines, backward frames, or nothing. */
  readonly answers: 'text' | 'byte' | null;
  /** A sender repeats its last levels all the time, and fades level by level; a lamp notices the loss (`on-loss` in its file). */
  readonly streams: boolean;
  /** Has a signal that can be stopped: its stream, or the power of its bus. */
  readonly stops: boolean;
  /** Bytes that are no message can be put on it. */
  readonly takesNoise: boolean;
  /** Has a message that restarts the lamp. */
  readonly restarts: boolean;
  /** The lamp confirms on it that its light is off. */
  readonly confirmsDark: boolean;
  /** Its driver tells everything that it sends. */
  readonly tells: boolean;
}

export const links = {
  console: {
    title: 'console',
    messages: 'lines',
    answers: 'text',
    streams: false,
    stops: false,
    takesNoise: true,
    restarts: true,
    confirmsDark: true,
    tells: true,
  },
  dali: {
    title: 'DALI',
    messages: 'frames',
    answers: 'byte',
    streams: false,
    stops: true,
    takesNoise: true,
    restarts: false,
    confirmsDark: true,
    tells: true,
  },
  dmx: {
    title: 'DMX512',
    messages: 'slots',
    answers: null,
    streams: true,
    stops: true,
    takesNoise: true,
    restarts: false,
    confirmsDark: false,
    tells: true,
  },
  sacn: {
    title: 'sACN',
    messages: 'packets',
    answers: null,
    streams: true,
    stops: true,
    takesNoise: true,
    restarts: false,
    confirmsDark: false,
    tells: true,
  },
  webpage: {
    title: 'web page',
    messages: null,
    answers: null,
    streams: false,
    stops: false,
    takesNoise: false,
    restarts: true,
    confirmsDark: true,
    tells: false,
  },
} as const satisfies Readonly<Record<string, LinkFacts>>;

export type LinkName = keyof typeof links;

export const linkNames = Object.keys(links) as readonly LinkName[];

/** Links whose slots a sender repeats all the time. */
type StreamingLink = {
  [Name in LinkName]: (typeof links)[Name]['streams'] extends true ? Name : never;
}[LinkName];

export const streamingLinks = linkNames.filter(
  (name): name is StreamingLink => links[name].streams,
);

/** What is known of a link by its name; undefined for one of a user's own driver. */
export function linkFacts(name: string): LinkFacts | undefined {
  return Object.hasOwn(links, name) ? links[name as LinkName] : undefined;
}
