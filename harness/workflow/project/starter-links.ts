import type { LampAnswers, LampLink } from './starter-answers.ts';
import { starterChannel } from './starter-channels.ts';

/** The part `links` of a lamp file: what the lamp has, and what it has not as comments. */
export function starterLinks(answers: LampAnswers): string {
  const has = (link: LampLink): boolean => answers.links.includes(link);
  const written = {
    console: consoleLink,
    dali: daliLink(answers),
    dmx: `  dmx: { ${slots(answers)}${answers.rdm ? ', rdm: true' : ''} }\n`,
    sacn: `  sacn: { universe: 7, ${slots(answers)} }\n`,
  };
  const own = Object.entries(written).filter(([link]) => has(link as LampLink));
  const other = Object.entries(written).filter(([link]) => !has(link as LampLink));
  const absent = other.map(([, text]) => text.replace(/^/gm, '#').replace(/#$/, ''));
  const note = other.length > 0 ? '# Links that it does not have:\n' : '';
  return `# check: addresses, and the lines of the console word by word.
links:
${own.map(([, text]) => text).join('')}${note}${absent.join('')}`;
}

/** Lines of an invented console, as a lamp file begins with them. */
export const consoleLink = `  console:
    baud: 115200
    set: dim {level} mix {intensities}                  # in per cent
    fade: fade {milliseconds} dim {level} mix {intensities}
    off: off
    reset: restart
    identify: who
    ok: ok                                              # answers a line that was understood
`;

function slots({ slotBits, onLoss }: LampAnswers): string {
  return `first-slot: 1, bits: ${slotBits}, on-loss: ${onLoss}`;
}

function daliLink({ dali, channels }: LampAnswers): string {
  const rows = ['short-address: 5'];
  if (dali.includes('tunable-white'))
    rows.push('tunable-white: { warmest: 2700 K, coolest: 6500 K }');
  if (dali.includes('rgbwaf')) rows.push(`rgbwaf: [${channels.slice(0, 6).join(', ')}]`);
  if (dali.includes('banks'))
    rows.push('banks: [1, 202, 205, 206, 207]', `luminaire: ${luminaire(channels)}`);
  return `  dali:\n${rows.map((row) => `    ${row}\n`).join('')}`;
}

/** Losses of the input stage and the drivers, of the power of the LEDs. */
const losses = 0.1;

function luminaire(channels: readonly string[]): string {
  const own = channels.map(starterChannel);
  const light = own.reduce((sum, { lumen }) => sum + lumen, 0);
  const power = own.reduce((sum, { current, forwardVoltage }) => sum + current * forwardVoltage, 0);
  const watts = Math.ceil(power * (1 + losses));
  return `{ input-power: ${watts} W, minimum-power: 1 W, light: ${light} lm, cri: 92, cct: 4000 K, life: 50000 h, starts: 50000 }`;
}
