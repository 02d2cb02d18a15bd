import type { LampLink, LampTarget, RawMessage } from '../../harness/bench/ports.ts';
import { type Candidate, expectThat, type Guarantee, plainCall } from './guarantee.ts';
import { expectKind, rejectsWith, resolves, settled } from './settled.ts';

export const linkGuarantees: readonly Guarantee<'lamp-link'>[] = [
  {
    guarantee:
      'set() and fade() resolve when the command has left the link, not when the fade has ended',
    kinds: ['lamp-link'],
    check: async (link, candidate) => {
      const { deadline } = candidate;
      await resolves(link.set(target(candidate, 0.1), plainCall(candidate)), deadline, 'set()');
      const long = link.fade(target(candidate, 0), fadeOf(link), plainCall(candidate));
      await resolves(long, Math.min(deadline, fadeOf(link) / 2), 'fade()');
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
      }
    },
  },
];

/** s: a fade that every link knows; DALI has 11.3 s in its table (IEC 62386-102: 0.5 x sqrt(2^9) s, computed). */
function fadeOf({ link }: LampLink): number {
  return link === 'dali' ? 0.5 * Math.sqrt(2 ** 9) : 10;
}

function target({ lamp }: Candidate, level: number): LampTarget {
  // Every intensity at 1 is a mix that every link can carry, whatever its number of channels.
  return {
    level,
    intensities: Object.fromEntries(lamp.channels.map(({ channel }) => [channel, 1])),
  };
}
