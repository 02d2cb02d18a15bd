import { expect, it } from 'vitest';
import { temperatureMessages } from '../../harness/plan/links/colour-commands.ts';
import { readSpec } from '../../harness/spec-language/spec-file.ts';
import { alcove as lamp } from '../drivers/plant/firmware/alcove.ts';
import { shippedLamp } from '../spec-language/shipped-lamp.ts';

function read(step: string, own = lamp) {
  const text = `spec: x
claim: It does.
stimulus:
  - ${step}
  - send: { dali: query-gear-present, expect: yes }
  - hold: 1 s
capture: []
criteria: []
`;
  return readSpec(text, { file: 'x', folder: 'x', digest: '0', lamp: own });
}

const issueOf = (step: string, own = lamp): string => {
  const one = read(step, own);
  return 'issues' in one ? one.issues.map(({ message }) => message).join('\n') : '';
};

it('goes as mirek: low byte, high byte, the command and its start, each command behind device type 8', () => {
  // 2700 K are 370 mirek, 0x0172; short address 5 is the address byte 0x0b for commands (IEC 62386-102 and -209).
  expect(temperatureMessages(370, 5)).toEqual([
    { link: 'dali', frame: [0xa3, 0x72] },
    { link: 'dali', frame: [0xc3, 0x01] },
    { link: 'dali', frame: [0x0b, 0xe7], deviceType: 8 },
    { link: 'dali', frame: [0x0b, 0xe2], deviceType: 8 },
  ]);
});

it('rounds to whole mirek once', () => {
  const one = read('white: { temperature: 4100 K }');
  expect('plan' in one && one.plan.conditions[0]?.stimulus[0]).toEqual({
    verb: 'white',
    mirek: 244,
  });
});

it.each([
  ['white: { temperature: 2000 K }', /expected 2700 K to 6500 K, which lamp alcove-6 has/],
  ['white: { temperature: 60 % }', /K/],
  ['white: { temprature: 4000 K }', /temperature/],
])('%s is an issue', (step, words) => {
  expect(issueOf(step)).toMatch(words);
});

it('asks for nothing that a lamp file does not promise', () => {
  const issue = issueOf('white: { temperature: 4000 K }', shippedLamp('alcove-1'));
  expect(issue).toMatch(/alcove-1 has no colour temperature .*tunable-white/);
});

it('commands of colour control gear take their device type along, and its configuration goes twice', () => {
  const message = (step: string) => {
    const one = read(`send: ${step}`);
    const own = 'plan' in one ? one.plan.conditions[0]?.stimulus[0] : undefined;
    return own?.verb === 'send' ? own.message : one;
  };
  expect(message('{ dali: activate }')).toEqual({
    link: 'dali',
    frame: [0x0b, 0xe2],
    deviceType: 8,
  });
  expect(message('{ dali: store-temperature-limit }')).toMatchObject({
    twice: true,
    deviceType: 8,
  });
  expect(message('{ dali: query-colour-value }')).toMatchObject({ answer: true, deviceType: 8 });
});
