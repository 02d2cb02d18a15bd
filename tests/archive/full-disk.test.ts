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
    entryPoints: ['fill-disk.ts', 'full-commands.ts'].map((file) =>
      join(import.meta.dirname, file),
    ),
    bundle: true,
    platform: 'node',
    format: 'esm',
    external: ['@photostructure/sqlite', 'playwright-core'],
    banner: {
      js: "import { createRequire as cjsRequire } from 'node:module'; const require = cjsRequire(import.meta.url); const __filename = import.meta.filename; const __dirname = import.meta.dirname;",
    },
    outdir: cache,
    outExtension: { '.js': '.mjs' },
    logLevel: 'error',
  });
});

interface Tried {
  readonly failures: readonly {
    readonly pages: number;
    readonly exitCode: number;
    readonly stderr: string;
    readonly came: readonly string[];
    readonly went: readonly string[];
  }[];
  readonly came: readonly string[];
  readonly decided: string;
  readonly problems: readonly unknown[];
}

/** What each command brings where there is room. */
const brings: Readonly<Record<string, RegExp>> = {
  report: /^out \d+$/,
  export: /^out\/$|^out\/0000-light\.csv \d+$/,
  'keys new': /^otto\.(pub\.)?pem \d+$/,
  'keys passphrase': /^$/,
  sign: /^reports\/decisions\.ndjson \d+$|\/signoffs\/$|\/signoffs\/01-mira\.[a-z-]+\.dsse\.json \d+$/,
  run: /^reports\/[^/]*aaaa0123\/([a-z.]+ \d+|captures\/)?$/,
};

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

    it.each(Object.keys(brings))(
      'refuses %s without a half file, whatever room is left, and does it once there is room',
      (what) => {
        const trying = `'${process.execPath}' '${join(cache, 'full-commands.mjs')}' /mnt '${what}'`;
        const mounted = `mount -t tmpfs -o size=2m none /mnt && ${trying}`;
        const text = execFileSync('unshare', ['-rm', 'sh', '-c', mounted], { encoding: 'utf8' });
        const { failures, came, decided, problems }: Tried = JSON.parse(text);
        expect(failures.length).toBeGreaterThan(0);
        for (const { pages, exitCode, stderr, came, went } of failures) {
          // A folder that was asked for holds nothing yet.
          const left = came.filter((file) => file !== 'out/');
          expect({ pages, exitCode, left, went }).toEqual({
            pages,
            exitCode: 73,
            left: [],
            went: [],
          });
          expect(stderr).toMatch(/ENOSPC|disk is full/);
        }
        expect(came.filter((file) => !brings[what]!.test(file))).toEqual([]);
        if (what === 'sign')
          expect({ decided, problems }).toEqual({ decided: 'released', problems: [] });
        else expect(came.length).toBeGreaterThan(what === 'keys passphrase' ? -1 : 0);
      },
      120_000,
    );
  },
);
