import { describe, expect, it } from 'vitest';
import { lamp } from '../../drivers/conformance/shipped-bench.ts';
import { runClaim, runOne, trouble } from './run-claim.ts';

const fading = `spec: fades
claim: The lamp fades.
stimulus:
  - set: { level: 100 %, mix: all, link: console }
  - hold: 200 ms
  - mark: fading
  - fade: { level: 10 %, over: 500 ms, link: console }
  - hold: 700 ms
capture:
  - { signal: light, of: light, rate: 10 kHz }
criteria:
  - { metric: dropouts, of: light, during: fading, at-most: 0 }
`;

/** A lamp that does not know what its file says: it wants another word for a fade. */
function lampWithoutFade() {
  const { console, ...links } = lamp.links;
  if (!console) throw new Error('expected a console');
  const fade = console.fade.replace('fade', 'glide');
  return { ...lamp, links: { ...links, console: { ...console, fade } } };
}

describe.concurrent('a lamp that refuses what its file allows', () => {
  it('fails by its own words', { timeout: 60_000 }, async () => {
    const { verdict, reason, findings } = await runOne(fading, {
      emulation: { lamp: lampWithoutFade() },
    });
    expect(verdict, reason ?? '').toBe('fail');
    expect(reason).toMatch(/"no unknown command" to "fade 500 dim 10 .*the link is sound/);
    expect(findings.map(({ reason: words }) => words)).toEqual([
      expect.stringMatching(/^The lamp refused a valid command: it answered "no unknown command"/),
    ]);
  });

  it('leaves the digitiser free for the next condition', { timeout: 60_000 }, async () => {
    const twice = fading
      .replace('stimulus:', 'conditions:\n  level: [10 %, 20 %]\nstimulus:')
      .replace('level: 10 %', 'level: $level')
      .replace('hold: 700 ms', 'hold: 3 s');
    const found = await runClaim(twice, { emulation: { lamp: lampWithoutFade() } });
    const reasons = found.map(({ reason }) => reason).join(' | ');
    expect(
      found.map(({ verdict }) => verdict),
      reasons,
    ).toEqual(['fail', 'fail']);
  });

  it('is not blamed where the answer is garbled', { timeout: 180_000 }, async () => {
    for (const from of [1, 2, 3]) {
      const { verdict, reason } = await runOne(fading, {
        emulation: { lamp: lampWithoutFade() },
        troubles: [trouble('garbage', 'console', { from })],
        errorIsRight: true,
      });
      expect(verdict, reason ?? '').toBe('error');
    }
  });
});
