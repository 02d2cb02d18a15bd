import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { driverSettings } from '../../drivers/registry.ts';
import { readLamp } from '../../harness/bench/lamp-file.ts';
import { readRig } from '../../harness/bench/rig-file.ts';

const folder = join(import.meta.dirname, 'golden', 'broken');

/** Every broken lamp and rig file and all that is said about it: `line:column path: message`. */
const expected: Readonly<Record<string, readonly string[]>> = {
  'ambient-in-kelvin.rig.yaml': [
    '18:10 ambient: expected a temperature such as 25 °C, but K is a unit of colour temperature',
  ],
  'bits-fraction.lamp.yaml': [
    '10:42 modulation.bits: expected a whole number, found the number 15.5',
  ],
  'bits-missing.rig.yaml': [
    '12:5 wiring[0].bits: expected a number, but "bits" is missing; add it',
  ],
  'bits-too-many.lamp.yaml': ['10:42 modulation.bits: expected at most 24, found the number 48'],
  'bottom-zero.lamp.yaml': ['7:37 curve.bottom: expected more than 0 %, found 0 %'],
  'coverage.rig.yaml': ['15:45 decision.coverage-factor: expected at most 4, found the number 20'],
  'current-zero.lamp.yaml': ['5:57 channels.warm.current: expected more than 0 A, found 0 mA'],
  'curve-kind.lamp.yaml': [
    '7:16 curve.kind: expected one of logarithmic, linear, found the text "exponential"',
  ],
  'date-form.rig.yaml': [
    '9:26 instruments.digitiser.calibration.date: expected a day as YYYY-MM-DD, found the text "02.02.2026"',
  ],
  'deadline-zero.rig.yaml': [
    '9:15 instruments.digitiser.deadline: expected more than 0 s, found 0 s',
  ],
  'decision-rule.rig.yaml': [
    '15:19 decision.rule: expected one of simple, guarded, found the text "gaurded"; did you mean "guarded"?',
  ],
  'due-before-date.rig.yaml': [
    '9:43 instruments.digitiser.calibration.due: expected a day after the calibration (2026-02-02), found 2025-02-02',
  ],
  'light-in-lux.lamp.yaml': [
    '5:18 channels.warm.light: expected a luminous flux such as 400 lm, but lx is a unit of illuminance',
  ],
  'link-to-unknown.rig.yaml': [
    '13:19 links.console: "serial" is not an instrument of this rig; instruments: digitiser, console',
  ],
  'link-unknown.rig.yaml': ['13:10 links.consol: "consol" is not a link; did you mean "console"?'],
  'mix-over.lamp.yaml': ['9:20 mixes.neutral.warm: expected at most 100 %, found 162 %'],
  'mix-unknown-channel.lamp.yaml': [
    '9:26 mixes.neutral.cold: "cold" is not a channel of this lamp; did you mean "cool"?',
  ],
  'modulation-kind.lamp.yaml': [
    '10:21 modulation.kind: expected one of pulse-density, pwm, analogue, found the text "pulse-width"',
  ],
  'no-channels.lamp.yaml': ['4:11 channels: expected at least one channel, found none'],
  'no-input.rig.yaml': ['12:5 wiring[0]: expected either "input" or "inputs", found neither'],
  'no-instruments.rig.yaml': [
    '6:43 wiring[0].instrument: "digitiser" is not an instrument of this rig; instruments: none',
    '7:19 links.console: "console" is not an instrument of this rig; instruments: none',
  ],
  'no-links.lamp.yaml': [
    '13:1 links: expected at least one of console, dali, dmx, sacn, found none',
  ],
  'no-links.rig.yaml': ['13:1 links: expected at least one link that carries commands, found none'],
  'noise-wrong-unit.rig.yaml': [
    '12:139 wiring[0].noise: expected an illuminance such as 500 lx, but mV is a unit of voltage',
  ],
  'policy.rig.yaml': [
    '16:21 calibration-policy: expected one of warn, refuse, found the text "ignore"',
  ],
  'pwm-without-frequency.lamp.yaml': [
    '10:13 modulation.frequency: expected a figure with its unit, but "frequency" is missing; add it',
  ],
  'reserved-channel.lamp.yaml': [
    '5:3 channels.light: "light" means something else in a spec; name the channel otherwise',
  ],
  'safe-lamp-on.rig.yaml': ['14:15 safe.lamp: expected "off", found the text "on"'],
  'scale-without-volt.rig.yaml': [
    '12:73 wiring[0].scale: expected what one volt stands for, such as 0.2 lx/V, found 1000 lx',
  ],
  'scale-wrong-unit.rig.yaml': [
    '12:73 wiring[0].scale: expected lx/V or V/V for light, found 1 A/V',
  ],
  'scale-zero.rig.yaml': [
    '12:73 wiring[0].scale: expected what one volt stands for, such as 0.2 lx/V, found 0',
  ],
  'short-address.lamp.yaml': [
    '22:26 links.dali.short-address: expected at most 63, found the number 64',
  ],
  'slots-past-end.lamp.yaml': [
    '22:22 links.dmx.first-slot: the last of 2 channels of 16 bit would be slot 515, but a universe has 512; start lower',
  ],
  'stage-below-led.lamp.yaml': [
    "11:48 stage.supply-voltage: expected more than every channel's forward voltage (the stage steps down), found 24 V, but warm needs 33 V",
  ],
  'start-up-negative.lamp.yaml': ['23:11 start-up: expected at least 0 s, found -1 s'],
  'supply-order.lamp.yaml': [
    '12:1 supply: expected low ≤ nominal ≤ high, found 54 V, 48 V and 52 V',
  ],
  'supply-unknown.rig.yaml': [
    '14:23 supply.instrument: "psu" is not an instrument of this rig; instruments: digitiser, console',
  ],
  'template-field-missing.lamp.yaml': [
    '16:10 links.console.set: expected {intensities} in the line, found none',
  ],
  'template-field-unknown.lamp.yaml': ['18:10 links.console.off: {levle} is not known here'],
  'two-wires.rig.yaml': [
    '13:5 wiring[1]: light of all is wired a second time; keep one of the two',
  ],
  'upper-case-channel.lamp.yaml': [
    '5:9 channels.Warm: expected a name of lower-case letters, digits and single hyphens, found the key "Warm"',
  ],
  'wire-to-unknown.rig.yaml': [
    '12:43 wiring[0].instrument: "digitizer" is not an instrument of this rig; did you mean "digitiser"?',
  ],
  'xy-one-figure.lamp.yaml': ['5:30 channels.warm.xy: expected at least 2 entries, found 1'],
  'xy-outside.lamp.yaml': [
    '5:30 channels.warm.xy: expected x > 0, y > 0 and x + y at most 1, found 0.7, 0.5',
  ],
};

describe('a broken lamp or rig file', () => {
  it('is in the table, each of them', () => {
    expect(readdirSync(folder).sort()).toEqual(Object.keys(expected).sort());
  });

  for (const [file, issues] of Object.entries(expected)) {
    it(`is told exactly what and where: ${file}`, () => {
      const text = readFileSync(join(folder, file), 'utf8');
      const read = file.endsWith('.lamp.yaml')
        ? readLamp(text, file)
        : readRig(text, file, driverSettings);
      expect('issues' in read ? read.issues.map(told) : 'read without issues').toEqual(issues);
    });
  }
});

function told({
  line,
  column,
  path,
  message,
}: {
  line: number;
  column: number;
  path: string;
  message: string;
}): string {
  return `${line}:${column} ${path === '' ? '' : `${path}: `}${message}`;
}
