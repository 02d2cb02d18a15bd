import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { sequences } from '../../../harness/explore/draw/sequences.ts';
import type { WrittenStep } from '../../../harness/plan/verbs/verb.ts';
import { shippedLamp } from '../../spec-language/shipped-lamp.ts';

const drawn = fc.sample(sequences(shippedLamp('alcove-6')), { numRuns: 4000, seed: 11 });
const share = (has: (steps: readonly WrittenStep[]) => boolean) =>
  drawn.filter(has).length / drawn.length;
const texts = (steps: readonly WrittenStep[]) => steps.map((step) => JSON.stringify(step));

describe('what a search draws', () => {
  it('has fades beyond 2^16 ms, waited for, that the lamp itself times', () => {
    const onConsole = share((steps) =>
      texts(steps).some((text) =>
        /"fade".*"over":"(66|70|132) s","wait":true,"link":"console"/.test(text),
      ),
    );
    expect(onConsole).toBeGreaterThan(0.005);
    expect(onConsole).toBeLessThan(0.1);
  });

  it('has the longest fade times of DALI, and extended ones, looked at for long enough', () => {
    const within = (setting: string, least: number) => (steps: readonly WrittenStep[]) => {
      const all = texts(steps);
      return all.some((text, index) => {
        const value = /"dtr0".*"value":(\d+)/.exec(text)?.[1];
        return (
          Number(value) >= least &&
          all[index + 1]?.includes(setting) &&
          all[index + 2]?.includes('"level"') &&
          /"hold":"(70|100) s"/.test(all[index + 3] ?? '')
        );
      });
    };
    expect(share(within('set-fade-time', 14))).toBeGreaterThan(0.001);
    expect(share(within('set-extended-fade-time', 0x31))).toBeGreaterThan(0.001);
  });

  it('has settings that are stored over a loss of power, and shown in the light behind it', () => {
    const stored = (setting: string, shows: RegExp) =>
      share((steps) => {
        const all = texts(steps);
        const set = all.findIndex((text) => text.includes(`"${setting}"`));
        const off = all.findIndex((text, at) => at > set && text === '{"supply":{"output":"off"}}');
        return set >= 0 && off >= 0 && all.slice(off).some((text) => shows.test(text));
      });
    expect(stored('set-scene', /go-to-scene/)).toBeGreaterThan(0.003);
    expect(stored('add-group', /"dali":"[89][0-9a-e] 5a"/)).toBeGreaterThan(0.003);
    expect(stored('set-extended-fade-time', /"dali":"level"/)).toBeGreaterThan(0.003);
    expect(stored('set-min', /"dali":"(off|recall-min|level|down)"/)).toBeGreaterThan(0.003);
  });

  it('has packets of one source about where a number is too old (ANSI E1.31-2018 6.7.2)', () => {
    const apart = new Set<number>();
    for (const steps of drawn) {
      const numbers = steps.flatMap((step) => {
        const { sequence } = (step['send'] ?? {}) as { readonly sequence?: number };
        return sequence === undefined ? [] : [sequence];
      });
      numbers.slice(1).forEach((number, index) => {
        apart.add((number - (numbers[index] ?? 0)) & 0xff);
      });
    }
    for (const far of [0, -1, -19, -20, -21, 1, 128]) expect(apart).toContain(far & 0xff);
  });

  it('has sACN sources of one name with several priorities, that end among others', () => {
    const sends = (steps: readonly WrittenStep[]) =>
      steps.flatMap(({ send }) => (send ? [send as Record<string, unknown>] : []));
    const changes = share((steps) => {
      const priorities = sends(steps).filter(({ source }) => source === 'guest');
      return new Set(priorities.map(({ priority }) => priority)).size > 1;
    });
    expect(changes).toBeGreaterThan(0.02);
    const ends = share((steps) => {
      const all = sends(steps);
      const ended = all.findIndex(({ source, terminated }) => source && terminated);
      return all.slice(ended + 1).some(({ source }) => ended >= 0 && source !== all[ended]?.source);
    });
    expect(ends).toBeGreaterThan(0.01);
  });

  it('has sACN packets of other universes, with other fields, cut and filled up', () => {
    const seen = new Set<string>();
    for (const steps of drawn)
      for (const { send } of steps) {
        const { fields = {}, universe, length } = (send ?? {}) as Record<string, unknown>;
        for (const field of Object.keys(fields as object)) seen.add(field);
        if (universe !== undefined) seen.add('other universe');
        if (length !== undefined) seen.add(Number(length) < 140 ? 'cut' : 'longer');
      }
    for (const one of ['root-vector', 'universe', 'options', 'other universe', 'cut', 'longer'])
      expect(seen).toContain(one);
  });

  it('has levels that wait for an address that was named before it was synchronised', () => {
    const address = (text: string) => /"sync-address":(\d+)/.exec(text)?.[1];
    const isSync = (text: string) => text.includes('"sacn":"sync"');
    const awaited = share((steps) => {
      const all = texts(steps).filter((text) => text.includes('"sacn"'));
      return all.some((text, at) => {
        const [sync = '', held = ''] = all.slice(at + 1);
        const own = address(text);
        if (own === undefined || isSync(text) || !isSync(sync) || isSync(held)) return false;
        return address(sync) === own && address(held) === own;
      });
    });
    expect(awaited).toBeGreaterThan(0.01);
  });

  it('has air at the ends of what a lamp is rated for, and none where its file rates none', () => {
    const hasAir = (steps: readonly WrittenStep[]) => steps.some((step) => 'ambient' in step);
    expect(share(hasAir)).toBeGreaterThan(0.005);
    const airs = drawn.flatMap((steps) => texts(steps).filter((text) => text.includes('ambient')));
    for (const celsius of ['-20 °C', '25 °C', '60 °C'])
      expect(airs.some((text) => text.includes(celsius))).toBe(true);
    const unrated = sequences(shippedLamp('alcove-9'));
    expect(fc.sample(unrated, { numRuns: 4000, seed: 11 }).some(hasAir)).toBe(false);
  });
});
