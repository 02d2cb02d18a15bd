import type { LampAnswers } from './starter-answers.ts';
import { starterChannel } from './starter-channels.ts';
import { starterLinks } from './starter-links.ts';

/** A lamp file for these answers, without the line that names its schema. What the user has to look up says `check`. */
export function starterLamp(answers: LampAnswers): string {
  return [
    head(answers),
    channels(answers),
    curve(answers),
    mixes(answers.channels),
    modulation(answers),
    stage(answers),
    supply(answers),
    starterLinks(answers),
    rest(answers),
  ].join('\n');
}

function head({ name }: LampAnswers): string {
  return `# What the lamp is: the specs, the simulated lamp and the verdicts rest on this file. Its figures are examples.
# "check" marks what you have to hold against your lamp's data sheets; without the word the usual value may stay.
lamp: ${name}
maker: Halden Display Lighting          # check: printed in reports, and compared with what the lamp says of itself
about: One line for people              # check
`;
}

function channels({ channels: names }: LampAnswers): string {
  const rows = names.map((name) => {
    const { lumen, xy, current, forwardVoltage } = starterChannel(name);
    const figures = `light: ${lumen} lm, xy: [${xy.join(', ')}], current: ${Math.round(1000 * current)} mA, forward-voltage: ${forwardVoltage} V`;
    return `  ${name}: { ${figures} }\n`;
  });
  return `# check: all of it. Names in the order of the console's intensities and of the slots; nominal light and chromaticity (CIE 1931, 2°)
# at full; the LED current while on, and the forward voltage of the string at that current.
channels:
${rows.join('')}`;
}

function curve({ curve: kind }: LampAnswers): string {
  return `# check: the dimming curve of the level slots and of fades, and the light of its lowest level.
curve: { kind: ${kind}, bottom: 0.1 % }
`;
}

/** Shares of the channels, by their place, in the mixes that the specs of the library name. */
function mixes(names: readonly string[]): string {
  const [first = '', second = first] = names;
  const last = names.at(-1) ?? first;
  const parts: Readonly<Record<string, Readonly<Record<string, number>>>> =
    names.length === 1
      ? {
          neutral: { [first]: 100 },
          'gallery-warm': { [first]: 90 },
          'gallery-cool': { [first]: 80 },
          accent: { [first]: 60 },
        }
      : {
          neutral: { [first]: 62, [second]: 55 },
          'gallery-warm': { [first]: 90, [last]: 12 },
          'gallery-cool': { [second]: 85, [names.length === 2 ? first : last]: 10 },
          accent: { [first]: 20, [names[2] ?? last]: 65 },
        };
  const rows = Object.entries(parts).map(([mix, shares]) => {
    const list = Object.entries(shares).map(([channel, share]) => `${channel}: ${share} %`);
    return `  ${mix}: { ${list.join(', ')} }\n`;
  });
  return `# check: mixes that your product has. The specs of the library use these four names; a channel that is not named is dark.
mixes:
${rows.join('')}`;
}

function modulation({ modulation: kind, channels: names }: LampAnswers): string {
  const shift = (100 / names.length).toFixed(3);
  const written = {
    'pulse-density': '{ kind: pulse-density, bits: 16, clock: 20 MHz }',
    pwm: `{ kind: pwm, bits: 16, frequency: 64 kHz, phase-shift: ${shift} % }`,
  };
  return `# check: how a channel is dimmed.
modulation: ${written[kind]}
`;
}

function stage({ stage: kind, modulation: by, supply: from }: LampAnswers): string {
  const comment = '# check: what makes the LED current.\n';
  const edge = by === 'pwm' ? '4 ns' : '8 ns';
  if (kind === 'linear')
    return `${comment}stage: { kind: linear, rise-time: ${edge}, fall-time: ${edge} }\n`;
  return `${comment}stage:
  kind: fixed-off-time
  supply-voltage: 48 V${from === 'mains' ? '                  # of the rail behind the mains stage' : ''}
  inductance: 220 µH
  off-time: 1 µs
  comparator-delay: 40 ns
  minimum-on-time: 150 ns
  diode-drop: 0.4 V
  rise-time: ${edge}
  fall-time: ${edge}
`;
}

function supply({ supply: kind }: LampAnswers): string {
  const written =
    kind === 'dc'
      ? 'supply: { kind: dc, nominal: 48 V, low: 44 V, high: 52 V }'
      : 'supply: { kind: mains, nominal: 230 V, low: 207 V, high: 253 V, frequency: 50 Hz, power-factor-correction: good }';
  return `# check: between low and high the lamp keeps its promises. standby-power, input-capacitance and inrush-resistance may be stated too.
${written}
`;
}

function rest({ links }: LampAnswers): string {
  const failure = links.includes('dali') ? '' : '   # system-failure is of DALI alone';
  return `# check: from power to the first light.
start-up: 300 ms

# check: what it keeps before anybody has told it anything. power-on and system-failure may be levels as well.
as-delivered: { level: 0 %, mix: all, power-on: last, system-failure: hold }${failure}

# check: the air that it is rated for.
ambient: { lowest: -20 °C, highest: 60 °C }

# check: instructions a second; with them the specs watch the load of your firmware.
processor: { speed: 20 MHz }
`;
}
