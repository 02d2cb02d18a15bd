import { readdirSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { archiveOf } from '../archive/archive-of.ts';
import { scratchFolders } from '../archive/scratch.ts';
import { sampleRecord } from '../record/sample-record.ts';
import { hasTerminal, onTerminal } from './on-terminal.ts';

const scratch = scratchFolders();
const runs = (root: string) => readdirSync(root).filter((name) => name.startsWith('20')).length;

async function threeRuns(): Promise<string> {
  const root = scratch();
  const days = [1, 2, 3].map((day) =>
    sampleRecord({
      id: `01a${day}aaaaaaaaaaaaaaaaaaaaaa`,
      startedAt: `2026-03-0${day}T10:00:00.000Z`,
    }),
  );
  await archiveOf(root, days);
  return root;
}

describe.skipIf(!hasTerminal)(
  'runs --prune on a terminal (skipped where `script` is not installed)',
  () => {
    it('says what goes and how much it is, and removes it after a yes', async () => {
      const root = await threeRuns();
      const asked = await onTerminal(`runs --reports '${root}' --prune --keep 1`, [
        ['[y/N] ', 'y\r'],
      ]);
      expect(asked.shown).toMatch(/To be removed: 2 runs \(0\.\d MB\); signed ones stay:/);
      expect(asked.shown).toContain('Remove 2 runs for good? [y/N] ');
      expect(asked.shown).toContain('Removed 2 runs.');
      expect(runs(root)).toBe(1);
    });

    it.each([
      ['a no', 'n\r', 0],
      ['nothing but Enter', '\r', 0],
      ['Ctrl-C', '\u0003', 130],
    ])('keeps everything after %s', async (_, answer, code) => {
      const root = await threeRuns();
      const asked = await onTerminal(`runs --reports '${root}' --prune --keep 1`, [
        ['[y/N] ', answer],
      ]);
      expect(asked.exitCode).toBe(code);
      expect(runs(root)).toBe(3);
    });
  },
);
