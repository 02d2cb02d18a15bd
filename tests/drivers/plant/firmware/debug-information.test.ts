import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { debugSectionsOf } from '../../../../drivers/plant/firmware/debug/debug-sections.ts';
import { lineTableAt } from '../../../../drivers/plant/firmware/debug/line-table.ts';
import { sourceFrames } from '../../../../drivers/plant/firmware/debug/source-frames.ts';
import { instructionsOf } from '../../../../drivers/plant/firmware/wasm-instructions.ts';
import { WasmModule } from '../../../../drivers/plant/firmware/wasm-module.ts';
import { sectionsOf } from '../../../../drivers/plant/firmware/wasm-sections.ts';
import { buildAlcoveWith, buildSource } from '../../../firmware/build-firmware.ts';

const folder = mkdtempSync(join(tmpdir(), 'evenfall-debug-'));
afterAll(() => rmSync(folder, { recursive: true }));

/** Offsets in the code section of every instruction, and where its function begins. */
function placesOf(build: Uint8Array): { offset: number; start: number }[] {
  const code = [...sectionsOf(build)].find(({ number }) => number === 10)!.body;
  return new WasmModule(build).bodies.flatMap(({ locals, code: from, to }) =>
    [...instructionsOf(build, from, to)].map((one) => ({
      offset: one.from - code,
      start: locals - code,
    })),
  );
}

/** What LLVM's symbolizer says of each: functions from the inside outwards, with file and line. */
function symbolised(build: Uint8Array, offsets: readonly number[]): string[] {
  const file = join(folder, 'lamp.wasm');
  writeFileSync(file, build);
  const input = offsets.map((offset) => `0x${offset.toString(16)}\n`).join('');
  const options = [`--obj=${file}`, '--inlining', '--output-style=LLVM', '--basenames'];
  const said = execFileSync('llvm-symbolizer', options, { input, encoding: 'utf8' });
  return said
    .trimEnd()
    .split('\n\n')
    .map((one) => one.replace(/:\d+$/gm, ''));
}

function ours(build: Uint8Array, place: { offset: number; start: number }): string {
  const frames = sourceFrames(debugSectionsOf(build), place);
  return frames
    .map(({ function: name, file, line }) => `${name}\n${file?.split('/').at(-1)}:${line}`)
    .join('\n');
}

describe.each(['-gdwarf-4', '-gdwarf-5'])('the example firmware, built with %s', (version) => {
  const build = buildAlcoveWith(version);

  test('every instruction has the functions and lines that an independent reader finds', () => {
    const places = placesOf(build);
    // Every seventh, from the first on: what a reading takes is linear in the size of the build.
    const some = places.filter((_, k) => k % 7 === 0);
    const theirs = symbolised(
      build,
      some.map(({ offset }) => offset),
    );
    expect(theirs).toHaveLength(some.length);
    expect(theirs.filter((one) => one.split('\n').length > 2).length).toBeGreaterThan(50);
    for (const [k, place] of some.entries())
      expect(`${place.offset}: ${ours(build, place)}`).toBe(`${place.offset}: ${theirs[k]}`);
  });

  test('cut off anywhere, it yields what it holds or a sentence', () => {
    const small = buildSource('sources/traps.c', [version, '-O2', '-DKEPT=']);
    const sections = debugSectionsOf(small);
    const errors = new Set<string>();
    for (const [name, bytes] of sections)
      for (let end = 0; end < bytes.length; end++) {
        const cut = new Map([...sections, [name, bytes.subarray(0, end)]]);
        try {
          sourceFrames(cut, { offset: 0x1a, start: 5 });
        } catch (error) {
          errors.add((error as Error).name);
        }
      }
    expect([...errors]).toEqual(['DebugInfoError']);
  });
});

test('lines of a version that is to come are refused in words', () => {
  const line = Uint8Array.of(4, 0, 0, 0, 6, 0, 0, 0);
  expect(() => lineTableAt(new Map([['line', line]]), 0)).toThrow('its lines have version 6');
});
