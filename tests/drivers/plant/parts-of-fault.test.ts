import { expect, it } from 'vitest';
import { faults, findFault } from '../../../drivers/plant/faults/faults.ts';
import { partsOfFault } from '../../../drivers/plant/faults/parts-of-fault.ts';
import { refuseFaultsOfOtherFirmware } from '../../../harness/workflow/inputs/faults-of-build.ts';
import { shippedLamp } from '../../spec-language/shipped-lamp.ts';

const lamp = shippedLamp('alcove-6');
const partsOf = (id: string): readonly string[] => {
  const fault = findFault(id);
  return fault ? [...partsOfFault(fault, lamp)].sort() : [];
};
const refuse = (ids: readonly string[], takesDatagrams = false): void =>
  refuseFaultsOfOtherFirmware(
    ids.map((fault) => ({ fault, size: 1 })),
    { name: 'mine.wasm', takesDatagrams },
    lamp,
  );

it.each([
  ['fade-cut-short', ['firmware']],
  ['afterglow', ['firmware']],
  ['weak-channel', ['channels']],
  ['analogue-dimming', ['channels', 'modulator']],
  ['hot-board', ['channels', 'thermal']],
  ['supply-sag', ['stage', 'supply']],
  ['priority-ignored', ['links']],
])('%s acts in %j', (id, parts) => {
  expect(partsOf(id)).toEqual(parts);
});

it('each fault acts somewhere', () => {
  expect(faults.filter((fault) => partsOfFault(fault, lamp).size === 0)).toEqual([]);
});

it('refuses with a build of the user what is a defect of the built-in firmware, and nothing else', () => {
  expect(() => refuse(['weak-channel', 'slow-pwm', 'lost-frames', 'supply-sag'])).not.toThrow();
  expect(() => refuse(['slow-pwm', 'afterglow'])).toThrow(/^--fault afterglow is a defect of/);
  expect(() => refuse(['afterglow', 'fade-cut-short'])).toThrow(
    /^--fault afterglow, fade-cut-short are defects of the firmware that is built in, and they cannot act in mine\.wasm/,
  );
});

it('refuses a defect of the network interface with a build that takes the datagrams itself', () => {
  const node = ['preview-accepted', 'priority-ignored', 'sync-not-awaited', 'discovery-taken'];
  for (const id of node) {
    expect(() => refuse([id])).not.toThrow();
    expect(() => refuse([id], true)).toThrow(
      `--fault ${id} is a defect of the firmware or the network`,
    );
  }
  expect(() => refuse(['lost-frames', 'weak-channel'], true)).not.toThrow();
});
