import { didYouMean } from '../files/did-you-mean.ts';
import type { IssueList } from '../files/issue-list.ts';
import { valueAtPath } from '../files/schema-issues.ts';
import { type ConsoleLink, mostSlots } from './lamp.ts';
import type { LampFile } from './lamp-schema.ts';
import { linkNames, links, streamingLinks } from './links.ts';

/** Words that mean something else where a channel's or a mix's name may stand. */
const reservedChannels = ['lamp', 'light', 'each-channel', 'all', 'off'];
const reservedMixes = ['all', 'off', 'each-mix'];
const mostChannels = 16;
/** Links that a lamp file describes: those that carry messages. */
const lampLinks = linkNames.filter((name) => links[name].messages !== null);

/** What the parts of a lamp file have to do with one another. Parts that are wrong in themselves are left out. */
export function checkLamp(shape: Partial<LampFile>, issues: IssueList): void {
  if (shape.channels) checkChannels(shape.channels, issues);
  // Names are good although a figure beside one is not.
  const names = Object.keys(valueAtPath(issues.yaml.value, ['channels']) ?? {});
  if (names.length > 0 && shape.mixes) checkMixes(shape.mixes, names, issues);
  if (shape['as-delivered']) checkDelivered(shape['as-delivered'], shape.mixes ?? {}, issues);
  if (shape.channels && shape.stage) checkStage(shape.stage, shape.channels, issues);
  if (shape.supply) checkSupply(shape.supply, issues);
  if (shape.stage && shape.modulation) checkDeadTime(shape.stage, shape.modulation, issues);
  if (shape.adc && shape.modulation) checkAdc(shape.adc, shape.modulation, issues);
  if (shape.processor) checkProcessor(shape.processor, shape['start-up'], issues);
  if (shape.links) checkLinks(shape.links, Object.keys(shape.channels ?? {}).length, issues);
  if (shape.links?.dali?.rgbwaf && names.length > 0)
    checkColours(shape.links.dali.rgbwaf, names, issues);
}

function checkChannels(channels: LampFile['channels'], issues: IssueList): void {
  const count = Object.keys(channels).length;
  if (count === 0) issues.add(['channels'], 'expected at least one channel, found none');
  if (count > mostChannels)
    issues.add(['channels'], `expected at most ${mostChannels} channels, found ${count}`, 'key');
  for (const [channel, { xy }] of Object.entries(channels)) {
    const path = ['channels', channel];
    if (reservedChannels.includes(channel))
      issues.add(
        path,
        `"${channel}" means something else in a spec; name the channel otherwise`,
        'key',
      );
    const [x, y] = xy;
    if (!(x > 0 && y > 0 && x + y <= 1))
      issues.add([...path, 'xy'], `expected x > 0, y > 0 and x + y at most 1, found ${x}, ${y}`);
  }
}

function checkDelivered(
  { mix }: NonNullable<LampFile['as-delivered']>,
  mixes: NonNullable<LampFile['mixes']>,
  issues: IssueList,
): void {
  if (mix === 'all' || Object.hasOwn(mixes, mix)) return;
  const known = ['all', ...Object.keys(mixes)];
  issues.add(
    ['as-delivered', 'mix'],
    `expected a mix of this file (${known.join(', ')}), found "${mix}"${didYouMean(mix, known)}`,
  );
}

function checkMixes(
  mixes: NonNullable<LampFile['mixes']>,
  channels: readonly string[],
  issues: IssueList,
): void {
  for (const [mix, intensities] of Object.entries(mixes)) {
    if (reservedMixes.includes(mix))
      issues.add(
        ['mixes', mix],
        `"${mix}" means something else in a spec; name the mix otherwise`,
        'key',
      );
    for (const channel of Object.keys(intensities)) {
      if (channels.includes(channel)) continue;
      const guess = didYouMean(channel, channels) || `; channels: ${channels.join(', ')}`;
      issues.add(
        ['mixes', mix, channel],
        `"${channel}" is not a channel of this lamp${guess}`,
        'key',
      );
    }
  }
}

function checkStage(
  stage: LampFile['stage'],
  channels: LampFile['channels'],
  issues: IssueList,
): void {
  if (stage.kind !== 'fixed-off-time') return;
  const { supplyVoltage } = stage;
  const high = Object.entries(channels).find(([, own]) => own.forwardVoltage >= supplyVoltage);
  if (!high) return;
  const [channel, own] = high;
  issues.add(
    ['stage', 'supply-voltage'],
    `expected more than every channel's forward voltage (the stage steps down), found ${supplyVoltage} V, but ${channel} needs ${own.forwardVoltage} V`,
  );
}

function checkSupply({ low, nominal, high }: LampFile['supply'], issues: IssueList): void {
  if (low <= nominal && nominal <= high) return;
  const found = `${low} V, ${nominal} V and ${high} V`;
  issues.add(['supply'], `expected low ≤ nominal ≤ high, found ${found}`, 'key');
}

function checkDeadTime(
  { deadTime }: LampFile['stage'],
  { kind }: LampFile['modulation'],
  issues: IssueList,
): void {
  if (deadTime !== undefined && kind !== 'pwm')
    issues.add(
      ['stage', 'dead-time'],
      `expected pwm modulation beside it, whose pulses firmware can make longer by it; found ${kind}`,
      'key',
    );
}

function checkAdc(
  { sampling }: NonNullable<LampFile['adc']>,
  { kind }: LampFile['modulation'],
  issues: IssueList,
): void {
  if (sampling === 'mid-pulse' && kind !== 'pwm')
    issues.add(
      ['adc', 'sampling'],
      `expected call, since ${kind} modulation has no periods in whose pulses a current could be sampled; found mid-pulse`,
    );
}

function checkProcessor(
  { speed, preemptive, tick, boot = 0 }: NonNullable<LampFile['processor']>,
  startUp: number | undefined,
  issues: IssueList,
): void {
  if (preemptive && speed === undefined)
    issues.add(
      ['processor', 'preemptive'],
      'expected speed beside it, since calls take the time of their instructions; found none',
      'key',
    );
  if (startUp !== undefined && boot > startUp)
    issues.add(
      ['processor', 'boot'],
      `expected at most start-up (${startUp} s), which counts from power to the first light; found ${boot} s`,
    );
  const micros = (tick ?? 0) * 1e6;
  if (Math.abs(micros - Math.round(micros)) > 1e-6)
    issues.add(
      ['processor', 'tick'],
      `expected whole microseconds, as lamp_tick_us() tells them; found ${Number(micros.toFixed(3))} µs`,
    );
}

function checkLinks(own: LampFile['links'], channels: number, issues: IssueList): void {
  if (Object.keys(own).length === 0)
    issues.add(['links'], `expected at least one of ${lampLinks.join(', ')}, found none`, 'key');
  if (own.console) checkTemplates(own.console, issues);
  checkGear(own, issues);
  for (const link of streamingLinks) {
    const slots = own[link];
    if (!slots) continue;
    const last = slots.firstSlot - 1 + (1 + channels) * (slots.bits / 8);
    if (last > mostSlots) {
      const message = `the last of ${channels} channels of ${slots.bits} bit would be slot ${last}, but a universe has ${mostSlots}; start lower`;
      issues.add(['links', link, 'first-slot'], message);
    }
  }
}

function checkColours(
  colours: readonly string[],
  channels: readonly string[],
  issues: IssueList,
): void {
  for (const [index, colour] of colours.entries()) {
    const path = ['links', 'dali', 'rgbwaf', index];
    const guess = didYouMean(colour, channels) || `; channels: ${channels.join(', ')}`;
    if (!channels.includes(colour))
      issues.add(path, `"${colour}" is not a channel of this lamp${guess}`);
    else if (colours.indexOf(colour) < index) issues.add(path, `${colour} stands here twice`);
  }
}

function checkGear({ dali }: LampFile['links'], issues: IssueList): void {
  const told = dali?.banks?.find((bank) => bank === 1 || bank === 207);
  if (told !== undefined && !dali?.luminaire)
    issues.add(
      ['links', 'dali', 'banks'],
      `expected luminaire beside bank ${told}, which holds it; found none`,
      'key',
    );
  const range = dali?.tunableWhite;
  if (!range || range.warmest < range.coolest) return;
  const found = `${range.warmest} K and ${range.coolest} K`;
  const path = ['links', 'dali', 'tunable-white'];
  issues.add(path, `expected warmest below coolest, found ${found}`, 'key');
}

const templateFields = {
  set: ['level', 'intensities'],
  fade: ['milliseconds', 'level', 'intensities'],
  off: [],
  reset: [],
  identify: [],
} as const satisfies Partial<Record<keyof ConsoleLink, readonly string[]>>;

function checkTemplates(link: ConsoleLink, issues: IssueList): void {
  for (const [key, fields] of Object.entries(templateFields)) {
    const template = link[key as keyof typeof templateFields];
    const path = ['links', 'console', key];
    const known: readonly string[] = fields;
    const found = [...template.matchAll(/\{([^}]*)\}/g)].map((match) => match[1] ?? '');
    for (const field of known) {
      if (!found.includes(field)) issues.add(path, `expected {${field}} in the line, found none`);
    }
    for (const field of found) {
      if (!known.includes(field))
        issues.add(path, `{${field}} is not known here${didYouMean(field, known)}`);
    }
    if (/[\r\n]/.test(template)) issues.add(path, 'expected one line, found a line end in it');
  }
}
