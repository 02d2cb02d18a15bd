import { execFileSync, spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { build } from 'esbuild';
import { beforeAll, describe, expect, it } from 'vitest';

/** A file system of 1 MiB in a mount name space of its own: needs user name spaces, which some machines switch off. */
const canMount =
  spawnSync('unshare', ['-rm', 'sh', '-c', 'mount -t tmpfs -o size=1m none /mnt']).status === 0;

const cache = join(import.meta.dirname, '../../node_modules/.cache');

beforeAll(async () => {
  await build({
    entryPoints: ['fill-disk.ts'].map((file) => join(import.meta.dirname, file)),
    bundle: true,
    platform: 'node',
    format: 'esm',
    outdir: cache,
    outExtension: { '.js': '.mjs' },
    logLevel: 'error',
  });
});

describe.skipIf(!canMount)(
  'a full disk (skipped where a small file system cannot be mounted)',
  () => {
    it.each(['capture', 'condition', 'report'])(
      'while a %s is stored leaves what was stored sound',
      (what) => {
        const filling = `'${process.execPath}' '${join(cache, 'fill-disk.mjs')}' /mnt ${what}`;
        const mounted = `mount -t tmpfs -o size=1m none /mnt && ${filling}`;
        const text = execFileSync('unshare', ['-rm', 'sh', '-c', mounted], { encoding: 'utf8' });
        const { kind, message, conditions, saved, resumed } = JSON.parse(text);
        expect(kind).toBe('full');
        expect(message).toMatch(/no space left \(ENOSPC\); what was stored before is sound/);
        expect(saved).toBeGreaterThan(0);
        expect(conditions).toBe(saved);
        expect(resumed).toBe(`complete with ${saved}`);
      },
    );
  },
);
