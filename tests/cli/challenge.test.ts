import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { register } from '../../harness/cli/running/challenge.ts';
import { challengeSchema } from '../../harness/record/challenge-record.ts';
import { runCommand } from './run-command.ts';

const root = join(import.meta.dirname, '../..');
const spec = (name: string): string => join('specs', `${name}.spec.yaml`);
const quickOnes = [
  spec('control/dali-clamps'),
  spec('control/dali-send-twice'),
  spec('mains/class-c-harmonics'),
];
const patience = 300_000;

let folder = '';
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'evenfall-challenge-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const challenge = (...args: string[]) =>
  runCommand(register, [...args, '--jobs', '1'], { cwd: root });

describe('evenfall challenge', () => {
  test(
    'prints which claims catch which fault, down to which size, each on a lamp that can have it',
    async () => {
      const ran = await challenge(
        ...quickOnes,
        ...['--fault', 'wrong-clamp', '--fault', 'send-twice-late', '--fault', 'harmonic-current'],
        ...['--healthy', '3', '--json'],
      );
      expect(ran.exitCode).toBe(0);
      const record = challengeSchema.parse(JSON.parse(ran.stdout));
      expect(record.lamps).toEqual(['alcove-6', 'alcove-1', 'alcove-pwm']);
      expect(
        record.faults.map(({ fault, lamp, nominalSize, caughtBy, smallestSizeCaught }) => ({
          fault,
          lamp,
          nominalSize,
          caughtBy,
          smallestSizeCaught,
        })),
      ).toEqual([
        {
          fault: 'wrong-clamp',
          lamp: 'alcove-6',
          nominalSize: 20,
          caughtBy: ['dali-clamps'],
          smallestSizeCaught: 2,
        },
        {
          fault: 'send-twice-late',
          lamp: 'alcove-6',
          nominalSize: 0.4,
          caughtBy: ['dali-send-twice'],
          smallestSizeCaught: 0.2,
        },
        {
          fault: 'harmonic-current',
          lamp: 'alcove-1',
          nominalSize: 0.4,
          caughtBy: ['class-c-harmonics'],
          smallestSizeCaught: 0.33,
        },
      ]);
      expect(record.healthy).toMatchObject({ lamps: 3, falseAlarms: 0, undecided: 0 });
    },
    patience,
  );

  test(
    'ends with 1 and names the fault that escapes and the claim that missed it',
    async () => {
      const args = [spec('control/dali-answers'), '--fault', 'lost-frames', '--healthy', '0'];
      expect((await challenge(...args)).exitCode).toBe(0);
      const ran = await challenge(
        ...[spec('control/dali-send-twice'), '--fault', 'wrong-clamp', '--healthy', '0'],
      );
      expect(ran.exitCode).toBe(1);
      expect(ran.stdout).toContain('▲ wrong-clamp  escaped at 20');
    },
    patience,
  );

  /** A claim by the name of one of the library, with another packet. */
  const preview = (packet: string): string => {
    const text = readFileSync(join(root, spec('control/sacn-preview')), 'utf8');
    const file = join(folder, 'preview.spec.yaml');
    writeFileSync(file, text.replace(/sacn: \{ lamp-slots: 255 \}, preview: true/, packet));
    return file;
  };

  test(
    'names a claim that finds the same with every fault that it is said to catch, and ends with 1',
    async () => {
      const args = ['--fault', 'preview-accepted', '--healthy', '0'];
      const file = preview('sacn: { lamp-slots: 255 }, preview: true');
      const sound = await challenge(file, ...args);
      expect(sound.exitCode).toBe(0);
      expect(sound.stdout).not.toContain('Cannot fail');
      const page = join(folder, 'challenge.html');
      preview('sacn: discovery, universes: [7]');
      const ran = await challenge(file, ...args, '--page', page);
      expect(ran.exitCode).toBe(1);
      const words = 'alcove-6: sacn-preview (it finds the same with and without preview-accepted)';
      expect(ran.stdout).toContain(`Cannot fail on ${words}`);
      expect(readFileSync(page, 'utf8')).toContain('sacn-preview cannot fail on alcove-6');
    },
    patience,
  );

  test(
    'names a claim of which nothing reaches the lamp, without a fault for it',
    async () => {
      const far = readFileSync(join(root, 'specs/lamps/alcove-6.lamp.yaml'), 'utf8');
      const lamp = join(folder, 'far.lamp.yaml');
      writeFileSync(lamp, far.replaceAll('first-slot: 1,', 'first-slot: 100,'));
      const file = preview('sacn: [255, 255, 255, 255], preview: true');
      const args = ['--lamp', lamp, '--fault', 'wrong-clamp', '--healthy', '0'];
      const ran = await challenge(spec('control/dali-clamps'), file, ...args);
      expect(ran.exitCode).toBe(1);
      expect(ran.stdout).toContain('Cannot fail on alcove-6: sacn-preview (level-ratio proves');
    },
    patience,
  );

  test(
    'says why a fault was not tried when no lamp can have it',
    async () => {
      const lamp = 'specs/lamps/alcove-6.lamp.yaml';
      const args = ['--fault', 'harmonic-current', '--healthy', '0', '--lamp', lamp];
      const ran = await challenge(spec('control/dali-clamps'), ...args);
      expect(ran.stdout).toContain('needs a mains supply, but lamp alcove-6 has a dc one');
    },
    patience,
  );

  test(
    'goes on from its state file: what is known is not run again, what was changed is',
    async () => {
      const state = join(folder, 'state.json');
      const args = [spec('control/dali-clamps'), '--fault', 'wrong-clamp', '--healthy', '1'];
      const first = await challenge(...args, '--state', state);
      expect(first.stderr.split('\n').filter(Boolean).length).toBeGreaterThan(2);
      const second = await challenge(...args, '--state', state);
      expect(second.stderr).toBe('');
      expect(second.stdout).toBe(first.stdout);
      const text = readFileSync(state, 'utf8');
      writeFileSync(state, text.replaceAll(/"dali-clamps [0-9a-f]{12}"/g, '"dali-clamps 0"'));
      const third = await challenge(...args, '--state', state);
      expect(third.stderr).toBe(first.stderr);
      expect(third.stdout).toBe(first.stdout);
      writeFileSync(state, text.replace(/"form":\d+/, '"form":1'));
      expect((await challenge(...args, '--state', state)).exitCode).toBe(64);
    },
    patience,
  );

  test('refuses a state file of something else, a fault that is none, and a count that is none', async () => {
    const state = join(folder, 'other.json');
    writeFileSync(state, '{"harness":"0.0.0-other","units":{}}');
    const args = [spec('control/dali-clamps'), '--healthy', '0'];
    const other = await challenge(...args, '--state', state);
    expect(other.exitCode).toBe(64);
    expect(other.stderr).toContain('found those of another version; name a new file');
    writeFileSync(state, 'no json');
    const none = await challenge(...args, '--state', state);
    expect(none.exitCode).toBe(66);
    expect(none.stderr).toContain('found no JSON');
    const fault = await challenge(...args, '--fault', 'wrong-clmap');
    expect(fault.exitCode).toBe(64);
    expect(fault.stderr).toContain('wrong-clamp');
  });
});
