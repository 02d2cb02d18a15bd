import type { Issue } from '../files/issue.ts';
import { IssueList } from '../files/issue-list.ts';
import { readYaml } from '../files/read-yaml.ts';
import { goodParts } from '../files/schema-parts.ts';
import { checkLamp } from './check-lamp.ts';
import type { Lamp, LampLinks, LampSupply, Modulation, SlotLink, Stage } from './lamp.ts';
import { type LampFileShape, lampSchema } from './lamp-schema.ts';

export type ReadLamp = { readonly lamp: Lamp } | { readonly issues: readonly Issue[] };

/** Reads the text of a lamp file; every issue at once. */
export function readLamp(text: string, file: string): ReadLamp {
  const { yaml, issues } = readYaml(text, file);
  if (!yaml) return { issues };
  const list = new IssueList(yaml, issues);
  const parsed = list.parse(lampSchema, yaml.value);
  checkLamp(parsed ?? goodParts(lampSchema, yaml.value), list);
  return parsed && list.count === 0 ? { lamp: toLamp(parsed) } : { issues: list.sorted() };
}

function toLamp(shape: LampFileShape): Lamp {
  const channels = Object.entries(shape.channels).map(([channel, own]) => ({
    channel,
    lumen: own.light,
    xy: own.xy,
    maxCurrent: own.current,
    forwardVoltage: own['forward-voltage'],
  }));
  return {
    lamp: shape.lamp,
    maker: shape.maker,
    about: shape.about,
    channels,
    curve: shape.curve,
    mixes: shape.mixes ?? {},
    modulation: toModulation(shape.modulation),
    stage: toStage(shape.stage),
    supply: toSupply(shape.supply),
    links: toLinks(shape.links),
    startUp: shape['start-up'],
  };
}

function toModulation(shape: LampFileShape['modulation']): Modulation {
  if (shape.kind !== 'pwm') return shape;
  const { kind, bits, frequency } = shape;
  return { kind, bits, frequency, phaseShift: shape['phase-shift'] ?? 0 };
}

function toStage(shape: LampFileShape['stage']): Stage {
  const edges = { riseTime: shape['rise-time'], fallTime: shape['fall-time'] };
  if (shape.kind === 'linear') return { kind: 'linear', ...edges };
  return {
    kind: 'fixed-off-time',
    supplyVoltage: shape['supply-voltage'],
    inductance: shape.inductance,
    offTime: shape['off-time'],
    comparatorDelay: shape['comparator-delay'],
    minimumOnTime: shape['minimum-on-time'],
    diodeDrop: shape['diode-drop'],
    ...edges,
  };
}

function toSupply(shape: LampFileShape['supply']): LampSupply {
  if (shape.kind === 'dc') return shape;
  const { 'power-factor-correction': powerFactorCorrection, ...rest } = shape;
  return { ...rest, powerFactorCorrection };
}

function toLinks({ console, dali, dmx, sacn }: LampFileShape['links']): LampLinks {
  const group = dali?.group === undefined ? {} : { group: dali.group };
  return {
    ...(console && { console }),
    ...(dali && { dali: { shortAddress: dali['short-address'], ...group } }),
    ...(dmx && { dmx: toSlots(dmx) }),
    ...(sacn && { sacn: { universe: sacn.universe, ...toSlots(sacn) } }),
  };
}

function toSlots(shape: NonNullable<LampFileShape['links']['dmx']>): SlotLink {
  return { firstSlot: shape['first-slot'], bits: shape.bits, onLoss: shape['on-loss'] };
}
