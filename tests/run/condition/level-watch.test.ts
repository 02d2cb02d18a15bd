import { describe, expect, it } from 'vitest';
import { LevelWatch } from '../../../harness/run/condition/level-watch.ts';

/** A lamp on DALI and a console; `heard` is the level that it takes of the n-th command of a link. */
async function watched(
  sender: 'dali' | 'console',
  heard: (level: number, count: number, link: string) => number | null,
  /** It follows a command so late, s. */
  lag = 0,
): Promise<string> {
  let has = 1;
  let now = 0;
  let due: { readonly level: number; readonly at: number } = { level: 1, at: 0 };
  const levelNow = () => {
    if (now >= due.at) has = due.level;
    return has;
  };
  let count = 0;
  const linkOf = (link: string) => ({
    kind: 'lamp-link',
    name: link,
    link,
    set: async ({ level }: { readonly level: number }) => {
      const taken = heard(level, ++count, link);
      levelNow();
      if (taken !== null) due = { level: taken, at: now + lag };
    },
    ...(link === 'dali' && { level: async () => levelNow() }),
  });
  const instruments = new Map(['console', 'dali'].map((link) => [link, linkOf(link)]));
  const light = { target: { level: 1, intensities: {} } };
  const context = {
    bench: {
      clock: { kind: 'real', now: () => now, waitUntil: async (at: number) => void (now = at) },
      instruments,
    },
    rig: { rig: 'r', instruments: [], links: { dali: 'dali', console: 'console' } },
    lamp: { supply: { low: 44 } },
    signal: new AbortController().signal,
    ...{
      supplied: { on: true, volts: 48, startedAt: Number.NEGATIVE_INFINITY },
      commands: [],
      light,
    },
  } as unknown as Parameters<typeof LevelWatch.over>[0];
  const watch = LevelWatch.over(context);
  for (const level of [1, 0.5]) {
    light.target = { level, intensities: {} };
    await instruments.get(sender)?.set({ level });
    watch?.look({ at: 0, step: { verb: 'set', link: sender } }, 1);
    await new Promise((resolve) => setImmediate(resolve));
  }
  now += 2;
  levelNow();
  return (await watch?.end().catch((error: Error) => error.message)) ?? 'sound';
}

describe('the level that a lamp says it has after a command', () => {
  it('is sound where it is the commanded one', async () => {
    expect(await watched('dali', (level) => level)).toBe('sound');
    expect(await watched('console', (level) => level * 1.02)).toBe('sound');
  });

  it('tells of a frame that was lost on its way, since it arrives when it is sent again', async () => {
    expect(await watched('dali', (level, count) => (count === 2 ? null : level))).toMatch(
      /dali says that the lamp had level 100 % where 50 % was sent on dali; sent again 3 times, it had 50 %, 50 %, 50 %/,
    );
  });

  it('tells of figures that lose a digit on one link alone', async () => {
    const lossy = (level: number, _: number, link: string) =>
      link === 'console' && level < 1 ? level / 10 : level;
    expect(await watched('console', lossy)).toMatch(/by dali it took the same level at once/);
  });

  it('leaves a lamp that obeys late to be judged', async () => {
    expect(await watched('console', (level) => level, 0.4)).toBe('sound');
    expect(await watched('dali', (level) => level, 0.4)).toBe('sound');
  });

  it('leaves a lamp that never obeys to be judged', async () => {
    expect(await watched('dali', () => 1)).toBe('sound');
    expect(await watched('console', () => 1)).toBe('sound');
    expect(await watched('console', (level) => level / 2)).toBe('sound');
  });
});
