import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fadeLine, setLine } from '../../drivers/console/command-line.ts';
import { fadeTimeFrames, levelFrame, primaryFrames } from '../../drivers/dali/frame.ts';
import { slotsOf } from '../../drivers/dmx/slots.ts';
import { encodeSacn } from '../../drivers/sacn/packet.ts';
import type { Heard } from '../../harness/bench/heard.ts';
import type { Lamp } from '../../harness/bench/lamp.ts';
import type { LampTarget } from '../../harness/bench/ports.ts';
import { tellStory } from '../../harness/model/model-lamp.ts';
import { CommandedLight, levelAt } from '../../harness/plan/commanded.ts';
import { alcove, dali, nominal } from './told.ts';

/** What the drivers send for a target is, to the model, the light that specs command; both were written apart. */
const names = alcove.channels.map(({ channel }) => channel);
const linear: Lamp = { ...alcove, curve: { kind: 'linear', bottom: 0.001 } };
const share = fc.double({ min: 0.01, max: 1, noNaN: true });
const targets: fc.Arbitrary<LampTarget> = fc
  .tuple(share, fc.array(share, { minLength: 6, maxLength: 6 }))
  .map(([level, own]) => ({
    level,
    intensities: Object.fromEntries(names.map((name, index) => [name, own[index] ?? 0])),
  }));

function commanded(lamp: Lamp, tell: (light: CommandedLight) => void, at: number): number[] {
  const light = new CommandedLight(lamp);
  tell(light);
  return light.finish(1000).channels.map(({ segments }) => {
    const segment = segments.find(({ from, to }) => at >= from && at < to);
    return segment ? levelAt(segment, at, lamp) : Number.NaN;
  });
}

function modelled(lamp: Lamp, heard: readonly Heard[], at: number): number[] {
  const story = tellStory(lamp, heard, 1000, nominal);
  return names.map((name) => story.levelAt(name, at).low);
}

/** Equal within a part of the light. */
function agree(found: readonly number[], wanted: readonly number[], part: number): void {
  for (const [index, own] of wanted.entries())
    expect(Math.abs((found[index] ?? 0) / own - 1)).toBeLessThan(part);
}

describe('what the drivers send', () => {
  it.each([
    ['logarithmic', alcove],
    ['linear', linear],
  ])('is the commanded light as lines of the console, %s', (_, lamp) => {
    const link = lamp.links.console;
    if (!link) throw new Error('a console expected');
    fc.assert(
      fc.property(
        targets,
        targets,
        fc.integer({ min: 1, max: 9000 }),
        share,
        (one, other, milliseconds, part) => {
          const over = milliseconds / 1000;
          const heard: Heard[] = [
            { kind: 'console', at: 1, line: setLine(link, names, one) },
            { kind: 'console', at: 2, line: fadeLine(link, names, other, over) },
          ];
          const at = 2 + over * 1.2 * part;
          const wanted = commanded(
            lamp,
            (light) => {
              light.set(1, one);
              light.fade(2, other, over);
            },
            at,
          );
          // Five decimals of per cent.
          agree(modelled(lamp, heard, at), wanted, 2e-4);
        },
      ),
    );
  });

  it.each([
    ['logarithmic', alcove],
    ['linear', linear],
  ])('is the commanded light as slots, %s', (_, lamp) => {
    const { dmx, sacn } = lamp.links;
    if (!dmx || !sacn) throw new Error('DMX512 and sACN expected');
    fc.assert(
      fc.property(targets, (target) => {
        const slots = Array.from(slotsOf(dmx, names, lamp.curve, target));
        const datagram = encodeSacn({
          ...{
            cid: new Uint8Array(16).fill(7),
            sourceName: 'bench',
            priority: 100,
            syncAddress: 0,
          },
          ...{ sequence: 1, preview: false, terminated: false, forceSync: false },
          ...{
            universe: sacn.universe,
            startCode: 0,
            slots: slotsOf(sacn, names, lamp.curve, target),
          },
        });
        const wanted = commanded(lamp, (light) => light.set(1, target), 2);
        // Half a code of 65535 in each of both.
        agree(modelled(lamp, [{ kind: 'dmx', at: 1, startCode: 0, slots }], 2), wanted, 2e-3);
        agree(
          modelled(lamp, [{ kind: 'sacn', at: 1, datagram: Array.from(datagram) }], 2),
          wanted,
          2e-3,
        );
      }),
    );
  });

  it('is the commanded light as DALI levels, fades and primaries', () => {
    const lamp = { to: 'short', address: 5 } as const;
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 254 }),
        fc.integer({ min: 1, max: 254 }),
        fc.integer({ min: 1, max: 12 }),
        fc.integer({ min: 0, max: 5 }),
        share,
        (one, other, code, primary, part) => {
          const light = (level: number) => 10 ** ((level - 1) / (253 / 3) - 3);
          const over = 0.5 * 2 ** (code / 2);
          const full = Object.fromEntries(names.map((name) => [name, 1]));
          const mix = { ...full, [names[primary] ?? '']: 32_767 / 65_534 };
          const frames = [
            ...primaryFrames(lamp, primary, 32_767),
            [0xc1, 8],
            [0x0b, 0xe2],
            levelFrame(lamp, one),
            ...fadeTimeFrames(lamp, code),
            levelFrame(lamp, other),
          ];
          const heard = frames.map((frame, index) => dali(1 + 0.03 * index, frame));
          const began = 1 + 0.03 * (frames.length - 1);
          const at = began + over * 1.2 * part;
          const wanted = commanded(
            alcove,
            (own) => {
              own.set(1, { level: light(one), intensities: mix });
              own.fade(began, { level: light(other), intensities: mix }, over);
            },
            at,
          );
          agree(modelled(alcove, heard, at), wanted, 1e-9);
        },
      ),
    );
  });
});
