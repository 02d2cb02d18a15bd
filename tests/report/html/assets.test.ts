import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import * as assets from '../../../harness/report/html/assets.js';

const declared = [
  ...readFileSync(
    new URL('../../../harness/report/html/assets.d.ts', import.meta.url),
    'utf8',
  ).matchAll(/export const (\w+): Asset/g),
].map(([, name]) => name);

describe('the scripts and styles of pages', () => {
  it('are those that the types promise', () => {
    expect(Object.keys(assets).sort()).toEqual(declared.sort());
  });

  it.each(Object.entries(assets))('%s is hashed as it stands and ends no element', (_, asset) => {
    expect(asset.text).not.toBe('');
    expect(asset.text).not.toMatch(/<\/(script|style)/i);
    expect(asset.hash).toBe(createHash('sha256').update(asset.text).digest('base64'));
  });

  it('keep Node, and each other, out of what a browser runs', () => {
    for (const { text } of [assets.runPageScript, assets.liveRunScript]) {
      expect(text).not.toMatch(/node:|require\(/);
      expect(text).not.toContain('--paper:');
    }
  });
});
