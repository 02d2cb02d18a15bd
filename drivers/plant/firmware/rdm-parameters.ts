import { type Lamp, slotCount } from '../../../harness/bench/lamp.ts';
import {
  encodeDeviceInfo,
  type NackReason,
  nackReasons,
  parameter,
} from '../../dmx/rdm/parameters.ts';
import { commandClass, type RdmPacket, word } from '../../dmx/rdm/rdm-packet.ts';
import type { LightControl } from './light-control.ts';
import type { SlotInput } from './slot-input.ts';
import type { FirmwareTraits } from './traits.ts';

/** What a lamp answers: data, or the number of its reason to refuse. */
export type RdmReply = { readonly data: readonly number[] } | { readonly nack: number };

export interface RdmParameters {
  readonly lamp: Lamp;
  readonly traits: FirmwareTraits;
  readonly slots: SlotInput;
  readonly light: LightControl;
  readonly version: string;
  readonly settings: RdmSettings;
}

/** What a controller may set; the simulated lamp forgets it when it loses its power. */
export class RdmSettings {
  identifies = false;
  /** 0..65535 of full. */
  minimumIncreasing = 0;
  minimumDecreasing = 0;
  onBelowMinimum = false;
  curve = 1;
  outputResponseTime = 1;
  modulationFrequency = 1;
  /** Level before it began to identify itself. */
  before = 0;
}

/** Fixture with a dimmer for LEDs; product category of ANSI E1.20-2010 table A-5, from memory. */
const category = 0x0509;
const model = 0x0601;
/** s that the lamp takes to move its modulator to another frequency. */
const retuning = 0.3;
const choices = { curve: 2, outputResponseTime: 2, modulationFrequency: 2 } as const;

const refused = (reason: NackReason): RdmReply => ({ nack: nackReasons.indexOf(reason) });
const text = (words: string): RdmReply => ({
  data: [...new TextEncoder().encode(words.slice(0, 32))],
});
const done: RdmReply = { data: [] };

/** One parameter: what is answered to GET, and what SET does. */
interface Parameter {
  get?(own: RdmParameters): RdmReply;
  set?(own: RdmParameters, data: readonly number[]): RdmReply;
  /** s that a SET takes. */
  readonly takes?: number;
}

/** The answer, and seconds after which it is there. */
export function answerParameter(
  own: RdmParameters,
  { commandClass: asked, parameter: pid, subDevice, data }: RdmPacket,
): { readonly reply: RdmReply; readonly later?: number } {
  if (subDevice !== 0) return { reply: refused('sub-device-out-of-range') };
  const found = parameters.get(pid);
  if (!found) return { reply: refused('unknown-parameter') };
  if (asked === commandClass.get && found.get)
    return { reply: data.length > 0 ? refused('format-error') : found.get(own) };
  if (asked !== commandClass.set || !found.set)
    return { reply: refused('unsupported-command-class') };
  const reply = found.set(own, data);
  return 'data' in reply && found.takes ? { reply, later: found.takes } : { reply };
}

/** One of `count` from 1 on, with how many there are. */
function choice(name: keyof typeof choices, takes?: number): Parameter {
  return {
    get: ({ settings }) => ({ data: [settings[name], choices[name]] }),
    set({ settings }, data) {
      const [value = 0] = data;
      if (data.length !== 1) return refused('format-error');
      if (value < 1 || value > choices[name]) return refused('data-out-of-range');
      settings[name] = value;
      return done;
    },
    ...(takes !== undefined && { takes }),
  };
}

const startAddress: Parameter = {
  get: ({ slots }) => ({ data: word(slots.firstSlot) }),
  set({ slots, traits, lamp }, data) {
    if (data.length !== 2) return refused('format-error');
    const address = 256 * (data[0] ?? 0) + (data[1] ?? 0);
    const last = traits.highestStartAddress(512 - footprintOf(lamp) + 1);
    if (address < 1 || address > last) return refused('data-out-of-range');
    slots.moveTo(address);
    return done;
  },
};

const identify: Parameter = {
  get: ({ settings }) => ({ data: [settings.identifies ? 1 : 0] }),
  /** Full light, until it is told to stop. */
  set({ settings, light }, data) {
    const [value = 0] = data;
    if (data.length !== 1) return refused('format-error');
    if (value > 1) return refused('data-out-of-range');
    const { intensities, level } = light.target;
    if (value === 1 && !settings.identifies) {
      settings.before = level;
      light.go({ level: 1, intensities }, 0);
    } else if (value === 0 && settings.identifies)
      light.go({ level: settings.before, intensities }, 0);
    settings.identifies = value === 1;
    return done;
  },
};

const minimumLevel: Parameter = {
  get: ({ settings }) => ({
    data: [
      ...word(settings.minimumIncreasing),
      ...word(settings.minimumDecreasing),
      settings.onBelowMinimum ? 1 : 0,
    ],
  }),
  set({ settings, traits }, data) {
    const [high = 0, low = 0, other = 0, end = 0, below = 0] = data;
    if (data.length !== 5) return refused('format-error');
    if (below > 1) return refused('data-out-of-range');
    settings.minimumIncreasing = traits.storedMinimum(256 * high + low);
    settings.minimumDecreasing = traits.storedMinimum(256 * other + end);
    settings.onBelowMinimum = below === 1;
    return done;
  },
};

const parameters: ReadonlyMap<number, Parameter> = new Map<number, Parameter>([
  [
    parameter.supportedParameters,
    { get: () => ({ data: [...parameters.keys()].filter(isListed).flatMap(word) }) },
  ],
  [parameter.deviceInfo, { get: (own) => ({ data: encodeDeviceInfo(infoOf(own)) }) }],
  [parameter.modelDescription, { get: ({ lamp }) => text(lamp.lamp) }],
  [parameter.manufacturerLabel, { get: ({ lamp }) => text(lamp.maker) }],
  [parameter.softwareVersionLabel, { get: ({ version }) => text(version) }],
  [
    parameter.personality,
    {
      get: () => ({ data: [1, 1] }),
      set: (_, data) =>
        data.length !== 1
          ? refused('format-error')
          : data[0] === 1
            ? done
            : refused('data-out-of-range'),
    },
  ],
  [parameter.startAddress, startAddress],
  [parameter.identifyDevice, identify],
  [parameter.minimumLevel, minimumLevel],
  [parameter.curve, choice('curve')],
  [parameter.outputResponseTime, choice('outputResponseTime')],
  [parameter.modulationFrequency, choice('modulationFrequency', retuning)],
]);

/** What every responder has to have is not listed (ANSI E1.20-2010 10.4.1, from memory). */
function isListed(pid: number): boolean {
  const required: readonly number[] = [
    parameter.supportedParameters,
    parameter.deviceInfo,
    parameter.softwareVersionLabel,
    parameter.startAddress,
    parameter.identifyDevice,
  ];
  return !required.includes(pid);
}

function footprintOf({ links, channels }: Lamp): number {
  return links.dmx ? slotCount(links.dmx, channels.length) : 0;
}

function infoOf({ lamp, slots, traits, version }: RdmParameters) {
  const [major = 0, minor = 0, patch = 0] = version.split('.').map(Number);
  return {
    ...{ model, category, software: (major << 16) | (minor << 8) | patch },
    footprint: traits.toldFootprint(footprintOf(lamp)),
    ...{
      personality: 1,
      personalities: 1,
      startAddress: slots.firstSlot,
      subDevices: 0,
      sensors: 0,
    },
  };
}
