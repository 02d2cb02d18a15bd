import { expect, test } from 'vitest';
import { debugSectionsOf } from '../../../../drivers/plant/firmware/debug/debug-sections.ts';
import { debuggerImage } from '../../../../drivers/plant/firmware/debug/debugger-image.ts';
import { originalPlaces } from '../../../../drivers/plant/firmware/debug/original-offset.ts';
import { sourceFrames } from '../../../../drivers/plant/firmware/debug/source-frames.ts';
import { loadFirmware } from '../../../../drivers/plant/firmware/load-firmware.ts';
import { openFirmware } from '../../../../drivers/plant/firmware/open-firmware.ts';
import { buildAlcoveWith, buildSource } from '../../../firmware/build-firmware.ts';
import { BareLamp } from './bare-lamp.ts';

interface Map {
  readonly version: number;
  readonly sources: readonly string[];
  readonly mappings: string;
}

function mapOf(module: WebAssembly.Module): Map | null {
  const [section] = WebAssembly.Module.customSections(module, 'sourceMappingURL');
  if (!section) return null;
  const [, json = ''] = Buffer.from(section).toString('latin1').split(';base64,');
  return JSON.parse(Buffer.from(json, 'base64').toString()) as Map;
}

const digits = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/';

/** Source and line (from 1) by offset. Source: ECMA-426, base64 VLQ, from memory. */
function decoded({ mappings, sources }: Map): ReadonlyMap<number, string> {
  const [lines, at] = [new globalThis.Map<number, string>(), [0, 0, 0, 0]];
  for (const segment of mappings.split(',')) {
    let [value, shift, field] = [0, 0, 0];
    for (const digit of segment) {
      const bits = digits.indexOf(digit);
      value += (bits & 31) * 2 ** shift;
      shift += 5;
      if (bits & 32) continue;
      at[field++]! += value & 1 ? -(value >> 1) : value >> 1;
      [value, shift] = [0, 0];
    }
    lines.set(at[0]!, `${sources[at[1]!]!.split('/').at(-1)}:${at[2]! + 1}`);
  }
  return lines;
}

test.each(['-gdwarf-4', '-gdwarf-5'])(
  'a rewritten main loop, built with %s, has the lines of its instructions in a source map',
  async (version) => {
    const build = buildAlcoveWith(`-DMAIN_LOOP ${version}`);
    const image = await loadFirmware(build, 'alcove.wasm');
    const shown = debuggerImage(image);
    const map = mapOf(shown.module)!;
    expect(map.version).toBe(3);
    for (const source of map.sources) expect(source).toMatch(/^file:\/\/\/.*\.[ch]$/);
    const lines = decoded(map);
    const sections = debugSectionsOf(build);
    const told = [...originalPlaces(image.debug!)].flatMap(
      ([offset, place]): [number, string][] => {
        const [frame] = sourceFrames(sections, place);
        return frame?.file && frame.line > 0
          ? [[offset, `${frame.file.split('/').at(-1)}:${frame.line}`]]
          : [];
      },
    );
    expect(told.length).toBeGreaterThan(500);
    expect([...lines]).toEqual(told);
  },
);

test('it runs as before, and names where it traps', async () => {
  const bytes = buildSource('sources/traps.c', ['-g', '-O2', '-DMAIN_LOOP']);
  const image = debuggerImage(await loadFirmware(bytes, 'traps.wasm'));
  expect([...decoded(mapOf(image.module)!).values()]).toContain('traps.c:41');
  const lamp = new BareLamp(openFirmware(image), 1);
  const due = () => lamp.receive({ link: 'console', byte: 'd'.charCodeAt(0) });
  expect(due).toThrow('from lamp_main() at traps.c:41');
});

test('a build without lines, or by ticks, stays as it is', async () => {
  const plain = await loadFirmware(buildSource('sources/main-loop.c'), 'loop.wasm');
  expect(debuggerImage(plain)).toBe(plain);
  const ticks = await loadFirmware(buildSource('sources/traps.c', ['-g']), 'traps.wasm');
  expect(debuggerImage(ticks)).toBe(ticks);
});
