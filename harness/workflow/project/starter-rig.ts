import type { Lamp } from '../../bench/lamp.ts';

/** Room above the largest value, so that nothing saturates. */
const headroom = 1.25;
/** The same above the highest supply, which is a figure of the lamp file and no peak. */
const supplyRoom = 1.15;

/**
 * The rig file of a simulated bench for a lamp, made of the shipped one (`text`): as many inputs as the lamp has channels, only its
 * links, and ranges that its light, currents and supply fill. An instrument's noise goes with its range: with the range of a brighter
 * lamp the claims at the bottom of a dimmer one would be inconclusive.
 */
export function starterRig(text: string, lamp: Lamp): string {
  const light = lamp.channels.reduce((sum, { lumen }) => sum + lumen, 0);
  const current = Math.max(...lamp.channels.map(({ maxCurrent }) => maxCurrent));
  // The mains have wires of their own, wide enough for all of them.
  const volts = lamp.supply.kind === 'dc' ? lamp.supply.high : 1;
  const body = text.replace(/^(?:#.*\n)*rig: .*\n/, `${head}rig: simulated\n`);
  return withLinks(withInputs(body, lamp.channels.length), lamp)
    .split(/^(?= {2}- )/m)
    .map((wire) => {
      if (/signal: light\b/.test(wire)) return ranged(wire, rounded(light * headroom) / 5000);
      if (/signal: channel-current\b/.test(wire))
        return ranged(wire, Math.max(1, rounded(current * headroom)));
      if (/signal: supply-voltage\b/.test(wire))
        return ranged(wire, Math.max(1, rounded(volts * supplyRoom) / 60));
      return wire;
    })
    .join('');
}

const head = `# The simulated bench of this project: every instrument is the simulated lamp's own, and its ranges are fitted to the lamp file. Its figures
# are chosen, not measured: nothing here has to be checked against your lamp. A real bench begins with: evenfall new rig bench
`;

/** Two significant digits, upwards. */
function rounded(value: number): number {
  const step = 10 ** (Math.floor(Math.log10(value)) - 1);
  return Number((Math.ceil(value / step - 1e-9) * step).toPrecision(2));
}

/** A wire with another range: its scale, and what goes with it. */
function ranged(wire: string, factor: number): string {
  if (factor === 1) return wire;
  const figure = /(?<![\w-])(scale|standard-offset|noise|full-scale): ([\d.]+) /g;
  return wire.replace(
    figure,
    (_, key: string, value: string) =>
      `${key}: ${Number((Number(value) * factor).toPrecision(4))} `,
  );
}

function withInputs(text: string, channels: number): string {
  const inputs = Array.from({ length: channels }, (_, index) => `current-${index + 1}`);
  return text.replace(/inputs: \[current-1.*\]/, `inputs: [${inputs.join(', ')}]`);
}

function withLinks(text: string, lamp: Lamp): string {
  const carried = Object.keys(lamp.links);
  const list = carried.map((link) => `${link}: ${link}`).join(', ');
  return text
    .replace(/^ {2}(\w+): +\{ driver: plant, kind: lamp-link.*\n/gm, (line, link: string) =>
      carried.includes(link) ? line : '',
    )
    .replace(/^links: .*$/m, `links: { ${list} }`);
}
