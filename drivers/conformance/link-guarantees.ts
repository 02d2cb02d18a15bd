import { linkFacts } from '../../harness/bench/links.ts';
import type { LampTarget, RawMessage } from '../../harness/bench/ports.ts';
import { type Candidate, expectThat, type Guarantee, plainCall } from './guarantee.ts';
import { expectKind, rejectsWith, resolves, settled } from './settled.ts';

/** A fade that every link knows, s: DALI has it in its table (IEC 62386-102: 0.5 x sqrt(2^9) s, computed). */
const longFade = 0.5 * Math.sqrt(2 ** 9);

export const linkGuarantees: readonly Guarantee<'lamp-link'>[] = [
  {
    guarantee:
      'set() and fade() resolve when the command has left the link, not when the fade has ended',
    kinds: ['lamp-link'],
    check: async (link, candidate) => {
      const { deadline } = candidate;
      await resolves(link.set(target(candidate, 0.1), plainCall(candidate)), deadline, 'set()');
      const long = link.fade(target(candidate, 0), longFade, plainCall(candidate));
      await resolves(long, Math.min(deadline, longFade / 2), 'fade()');
    },
  },
  {
    guarantee: 'safe() resolves and says whether the lamp confirmed it',
    kinds: ['lamp-link'],
    check: async (link, candidate) => {
      const { deadline } = candidate;
      const { confirmed } = await resolves(link.safe(plainCall(candidate)), deadline, 'safe()');
      expectThat(
        typeof confirmed === 'boolean',
        `confirmed should be true or false, but is ${String(confirmed)}`,
      );
      expectThat(
        !confirmed || linkFacts(link.link)?.confirmsDark !== false,
        `nothing comes back on ${link.link}, so confirmed should be false, but is true`,
      );
    },
  },
  {
    guarantee: 'A message of another link is unsupported',
    kinds: ['lamp-link'],
    check: async (link, candidate) => {
      const message: RawMessage =
        link.link === 'dali'
          ? { link: 'console', line: 'who' }
          : { link: 'dali', frame: [0xff, 0x00] };
      const send = link.send(message, plainCall(candidate));
      await rejectsWith(send, ['unsupported'], candidate.deadline, `send() of ${message.link}`);
    },
  },
  {
    guarantee: 'noise() leaves the link whole for the next command, or is unsupported',
    kinds: ['lamp-link'],
    check: async (link, candidate) => {
      const { deadline } = candidate;
      const bytes = Uint8Array.of(0x99, 0x0d, 0x0a, 0xff, 0x80, 0x41);
      const outcome = await settled(link.noise(bytes, plainCall(candidate)), deadline, 'noise()');
      if (outcome.how === 'rejected') expectKind(outcome.error, ['unsupported'], 'noise()');
      else checkHas(linkFacts(link.link)?.takesNoise, 'noise()', link.link);
      await resolves(link.set(target(candidate, 0.1), plainCall(candidate)), deadline, 'set()');
    },
  },
  {
    guarantee: 'carry() stops the signal and lets it go on, or is unsupported',
    kinds: ['lamp-link'],
    check: async (link, candidate) => {
      for (const on of [false, true]) {
        const outcome = await settled(
          link.carry(on, plainCall(candidate)),
          candidate.deadline,
          'carry()',
        );
        if (outcome.how === 'rejected') expectKind(outcome.error, ['unsupported'], 'carry()');
        else checkHas(linkFacts(link.link)?.stops, 'carry()', link.link);
      }
    },
  },
];

/** A link that cannot do it has to say so; links of a user's own driver (undefined) may be able. */
function checkHas(able: boolean | undefined, what: string, link: string): void {
  expectThat(able !== false, `${what} should be unsupported on ${link}, but resolved`);
}

function target({ lamp }: Candidate, level: number): LampTarget {
  // Every intensity at 1 is a mix that every link can carry, whatever its number of channels.
  return {
    level,
    intensities: Object.fromEntries(lamp.channels.map(({ channel }) => [channel, 1])),
  };
}
