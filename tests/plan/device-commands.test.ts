import { expect, it } from 'vitest';
import { deviceCommands, deviceFrame } from '../../harness/plan/links/device-commands.ts';
import { readSpec } from '../../harness/spec-language/spec-file.ts';
import { alcove as lamp } from '../drivers/plant/firmware/alcove.ts';

function read(written: string) {
  const text = `spec: x
claim: It does.
stimulus:
  - send: ${written}
  - send: { dali: query-gear-present, expect: yes }
capture: []
criteria: []
`;
  return readSpec(text, { file: 'x', folder: 'x', digest: '0', lamp });
}

function messageOf(written: string) {
  const one = read(written);
  if (!('plan' in one)) throw new Error(one.issues.map(({ message }) => message).join('\n'));
  const [step] = one.plan.conditions.flatMap(({ stimulus }) => stimulus);
  return step?.verb === 'send' ? step.message : null;
}

function issueOf(written: string): string {
  const one = read(written);
  return 'issues' in one ? one.issues.map(({ message }) => message).join('\n') : '';
}

/** Bits of a frame, for the pictures of IEC 62386-103 (from memory). */
const bits = (frame: readonly number[]): string =>
  frame.map((byte) => byte.toString(2).padStart(8, '0')).join(' ');

it('an event goes by device and instance: 0AAAAAA0 1IIIIIdd dddddddd', () => {
  const event = deviceCommands['device-event'];
  if (!event) throw new Error('no event');
  const frame = deviceFrame(event, { device: 0b101010, instance: 0b10001 }, 0b11_0000_1111);
  expect(bits(frame)).toBe('01010100 11000111 00001111');
});

it.each([
  // Without a device it has the number of the lamp, which is 5.
  ['{ dali: button-short-press }', { frame: [0x0a, 0x80, 0x02] }],
  ['{ dali: button-long-press-stop, device: 3, instance: 1 }', { frame: [0x06, 0x84, 0x0c] }],
  ['{ dali: identify-device, device: broadcast }', { frame: [0xff, 0xfe, 0x00], twice: true }],
  ['{ dali: reset-device, device: 0, twice: false }', { frame: [0x01, 0xfe, 0x10] }],
  ['{ dali: query-input-value, instance: 4 }', { frame: [0x0b, 0x04, 0x8c], answer: true }],
  ['{ dali: device-dtr0, value: 7 }', { frame: [0xc1, 0x30, 7] }],
])('%s', (written, message) => {
  expect(messageOf(written)).toEqual({ link: 'dali', ...message });
});

it.each([
  ['{ dali: button-pressed, device: 64 }', /expected .*0.*63/],
  ['{ dali: button-pressed, to: group }', /to goes with commands for gear/],
  ['{ dali: level, value: 3, instance: 1 }', /instance goes with commands and events of control/],
  ['{ dali: button-presed }', /button-pressed/],
  ['{ dali: device-event }', /device-event needs a value/],
])('%s is an issue', (written, words) => {
  expect(issueOf(written)).toMatch(words);
});
