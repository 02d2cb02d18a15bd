import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readSigningKey } from '../../harness/archive/signing-key.ts';
import { scratchFolders } from '../archive/scratch.ts';
import { newPerson, passphrase } from '../archive/signed-run.ts';
import { hasTerminal, onTerminal } from './on-terminal.ts';

const scratch = scratchFolders();

describe.skipIf(!hasTerminal)(
  'a passphrase on a terminal (skipped where `script` is not installed)',
  () => {
    it('is asked for twice, never shown, and opens the key', async () => {
      const file = join(scratch(), 'mira.pem');
      const { shown, exitCode } = await onTerminal(`keys new --out '${file}'`, [
        ['Passphrase for the new key: ', 'open sesamx\u007fme please\r'],
        ['Repeat the passphrase: ', 'open sesamme please\r'],
      ]);
      expect(exitCode).toBe(0);
      expect(shown).toContain('Key id:');
      expect(shown).not.toContain('sesam');
      expect(readSigningKey(readFileSync(file, 'utf8'), 'open sesamme please').ok).toBe(true);
      expect(readSigningKey(readFileSync(file, 'utf8'), 'open sesamxme please').ok).toBe(false);
    });

    it('shows nothing of two answers that are typed ahead', async () => {
      const file = join(scratch(), 'mira.pem');
      const both = 'open sesamé please\ropen sesamé please\r';
      const { shown, exitCode } = await onTerminal(`keys new --out '${file}'`, [
        ['Passphrase for the new key: ', both],
      ]);
      expect({ exitCode, shown }).toMatchObject({ exitCode: 0 });
      expect(shown).not.toContain('sesam');
      expect(readSigningKey(readFileSync(file, 'utf8'), 'open sesamé please').ok).toBe(true);
    });

    it('is changed: the old one once, the new one twice, none shown', async () => {
      const file = join(scratch(), 'mira.pem');
      const pem = await newPerson('Mira').privatePem();
      writeFileSync(file, pem, { mode: 0o600 });
      const { shown, exitCode } = await onTerminal(`keys passphrase '${file}'`, [
        ['as it is: ', `${passphrase}\r`],
        ['New passphrase: ', 'kettle orbit maple\rkettle orbit maple\r'],
      ]);
      expect({ exitCode, shown }).toMatchObject({ exitCode: 0 });
      expect(shown).not.toMatch(/a long|kettle/);
      expect(readSigningKey(readFileSync(file, 'utf8'), 'kettle orbit maple').ok).toBe(true);
    });

    it('makes no key when the two differ, or on Ctrl-C', async () => {
      const file = join(scratch(), 'mira.pem');
      const differ = await onTerminal(`keys new --out '${file}'`, [
        ['Passphrase for the new key: ', 'open sesame please\r'],
        ['Repeat the passphrase: ', 'open sesame pleas\r'],
      ]);
      expect(differ.exitCode).toBe(64);
      const cancelled = await onTerminal(`keys new --out '${file}'`, [
        ['Passphrase for the new key: ', 'open\u0003'],
      ]);
      expect(cancelled.exitCode).toBe(130);
      expect(existsSync(file)).toBe(false);
    });
  },
);
