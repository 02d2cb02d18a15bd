import * as z from 'zod';
import { name, quantity, words } from '../files/schema-parts.ts';
import { adc, memory, processor } from './board-schema.ts';
import { type LampChannel, mostSlots, type SlotLink } from './lamp.ts';

/** Every part is parsed to what lamp.ts calls it: no other file knows how a lamp file writes it. */

const channel = z
  .strictObject({
    light: quantity('Nominal full light of the channel.', 'luminous-flux', '620 lm', { above: 0 }),
    xy: z
      .tuple([z.number(), z.number()])
      .meta({ description: 'Nominal chromaticity, CIE 1931 2 degree.' }),
    current: quantity('LED current while on at 100 %.', 'current', '700 mA', { above: 0 }),
    'forward-voltage': quantity(
      'Forward voltage of the string at that current.',
      'voltage',
      '33 V',
      {
        above: 0,
      },
    ),
  })
  .transform(
    ({ light, xy, current, 'forward-voltage': forwardVoltage }): Omit<LampChannel, 'channel'> => ({
      lumen: light,
      xy,
      maxCurrent: current,
      forwardVoltage,
    }),
  );

const modulation = z.discriminatedUnion('kind', [
  z.strictObject({
    kind: z.literal('pulse-density'),
    bits: z.int().min(1).max(24),
    clock: quantity('Bit clock.', 'frequency', '20 MHz', { above: 0 }),
  }),
  z
    .strictObject({
      kind: z.literal('pwm'),
      bits: z.int().min(1).max(24),
      frequency: quantity('Pulse repetition frequency.', 'frequency', '64 kHz', { above: 0 }),
      'phase-shift': quantity(
        'Shift between neighbouring channels, of a period.',
        'ratio',
        '16.7 %',
        { least: 0, most: 1 },
      ).prefault('0 %'),
    })
    .transform(({ 'phase-shift': phaseShift, ...rest }) => ({ ...rest, phaseShift })),
  z.strictObject({ kind: z.literal('analogue'), bits: z.int().min(1).max(24) }),
]);

const edges = {
  'rise-time': quantity('10 % to 90 % of the LED current.', 'time', '8 ns', { least: 0, most: 1 }),
  'fall-time': quantity('90 % to 10 % of the LED current.', 'time', '8 ns', { least: 0, most: 1 }),
  'dead-time': quantity(
    'Time by which the gate driver of the simulated lamp shortens every pulse of its PWM.',
    'time',
    '30 ns',
    { least: 0, most: 1e-3 },
  ).exactOptional(),
};

function deadTimeOf(deadTime: number | undefined): { readonly deadTime?: number } {
  return deadTime === undefined ? {} : { deadTime };
}

const stage = z.discriminatedUnion('kind', [
  z
    .strictObject({ kind: z.literal('linear'), ...edges })
    .transform(({ kind, 'rise-time': riseTime, 'fall-time': fallTime, 'dead-time': deadTime }) => ({
      kind,
      riseTime,
      fallTime,
      ...deadTimeOf(deadTime),
    })),
  z
    .strictObject({
      kind: z.literal('fixed-off-time'),
      'supply-voltage': quantity('Voltage that the stage was designed for.', 'voltage', '48 V', {
        above: 0,
      }),
      inductance: quantity('Inductance of the coil.', 'inductance', '220 µH', { above: 0 }),
      'off-time': quantity('Fixed off-time.', 'time', '1 µs', { above: 0, most: 1 }),
      'comparator-delay': quantity('From the threshold to the switch being off.', 'time', '40 ns', {
        least: 0,
        most: 1,
      }),
      'minimum-on-time': quantity('Shortest on-time of the controller.', 'time', '150 ns', {
        least: 0,
        most: 1,
      }),
      'diode-drop': quantity('Forward drop of the freewheeling diode.', 'voltage', '0.4 V', {
        least: 0,
      }),
      ...edges,
    })
    .transform((shape) => ({
      kind: shape.kind,
      supplyVoltage: shape['supply-voltage'],
      inductance: shape.inductance,
      offTime: shape['off-time'],
      comparatorDelay: shape['comparator-delay'],
      minimumOnTime: shape['minimum-on-time'],
      diodeDrop: shape['diode-drop'],
      riseTime: shape['rise-time'],
      fallTime: shape['fall-time'],
      ...deadTimeOf(shape['dead-time']),
    })),
]);

/** The input stage; the usual figures differ between DC and the mains. */
const input = (capacitance: string, resistance: string) => ({
  'standby-power': quantity('Power that the lamp draws when it is off.', 'power', '300 mW', {
    least: 0,
  }).prefault('300 mW'),
  'input-capacitance': quantity(
    'Capacitance that is charged at power-on.',
    'capacitance',
    capacitance,
    { above: 0, most: 1 },
  ).prefault(capacitance),
  'inrush-resistance': quantity(
    'Resistance that limits the current at power-on.',
    'resistance',
    resistance,
    { above: 0 },
  ).prefault(resistance),
  ripple: quantity(
    "Ripple of the simulated lamp's rail at twice the mains frequency (100 Hz of a DC lamp), peak over mean.",
    'ratio',
    '5 %',
    { least: 0, most: 1 },
  ).exactOptional(),
  'hold-up': quantity(
    'Time for which the processor of the simulated lamp runs on when the supply is gone.',
    'time',
    '20 ms',
    { least: 0, most: 10 },
  ).exactOptional(),
});

interface WrittenInput {
  readonly 'standby-power': number;
  readonly 'input-capacitance': number;
  readonly 'inrush-resistance': number;
  readonly 'hold-up'?: number;
}

function withInput<T extends WrittenInput>({
  'standby-power': standby,
  'input-capacitance': inputCapacitance,
  'inrush-resistance': inrushResistance,
  'hold-up': holdUp,
  ...rest
}: T) {
  const held = holdUp === undefined ? {} : { holdUp };
  return { ...rest, standby, inputCapacitance, inrushResistance, ...held };
}

const supply = z.discriminatedUnion('kind', [
  z
    .strictObject({
      kind: z.literal('dc'),
      nominal: quantity('Nominal supply.', 'voltage', '48 V', { above: 0 }),
      low: quantity('Lowest supply at which the lamp keeps its promises.', 'voltage', '44 V', {
        above: 0,
      }),
      high: quantity('Highest such supply.', 'voltage', '52 V', { above: 0 }),
      ...input('220 µF', '10 Ω'),
    })
    .transform(withInput),
  z
    .strictObject({
      kind: z.literal('mains'),
      nominal: quantity('Nominal mains voltage, rms.', 'voltage', '230 V', { above: 0 }),
      low: quantity('Lowest mains voltage, rms.', 'voltage', '207 V', { above: 0 }),
      high: quantity('Highest mains voltage, rms.', 'voltage', '253 V', { above: 0 }),
      frequency: quantity('Mains frequency.', 'frequency', '50 Hz', { least: 40, most: 70 }),
      'power-factor-correction': z.enum(['good', 'poor']),
      ...input('47 µF', '150 Ω'),
    })
    .transform(({ 'power-factor-correction': powerFactorCorrection, ...rest }) => ({
      ...withInput(rest),
      powerFactorCorrection,
    })),
]);

const slots = {
  'first-slot': z
    .int()
    .min(1)
    .max(mostSlots)
    .meta({ description: 'Slot of the dim level; the channels follow.' }),
  bits: z
    .union([z.literal(8), z.literal(16)])
    .meta({ description: 'Per value; 16: coarse first.' }),
  'on-loss': z.enum(['hold', 'off']).meta({ description: 'What the lamp does without a signal.' }),
};

function toSlotLink({
  'first-slot': firstSlot,
  bits,
  'on-loss': onLoss,
}: z.output<z.ZodObject<typeof slots>>): SlotLink {
  return { firstSlot, bits, onLoss };
}

const console = z.strictObject({
  baud: z.int().min(50).max(4_000_000),
  set: words('Line for a set: {level} and {intensities} in per cent.'),
  fade: words('Line for a fade: {milliseconds}, {level} and {intensities}.'),
  off: words('Line that puts the lamp out.'),
  reset: words('Line that restarts the firmware.'),
  identify: words('Line that asks who the lamp is.'),
  temperature: words(
    'Line that asks how warm its board is; answered with a figure in °C.',
  ).exactOptional(),
  ok: words('Line that answers a command which was understood.'),
  answers: z
    .record(name('Name by which a spec expects it.'), words('Line with {number} in it.'))
    .exactOptional()
    .meta({
      description: 'Other lines that it answers with, {number} where a figure stands.',
      examples: [{ board: 'board {number} °C' }],
    }),
});

/** Luminaire (1), energy (202), gear (205), light source (206), rated life (207). IEC 62386-251 to -253, from memory. */
const reportingBanks = [1, 202, 205, 206, 207] as const;

const luminaire = z
  .strictObject({
    'input-power': quantity('Nominal input power, whole W.', 'power', '95 W', { above: 0 }),
    'minimum-power': quantity('At the lowest level, whole W.', 'power', '1 W', { least: 0 }),
    light: quantity('Nominal luminous flux.', 'luminous-flux', '2088 lm', { above: 0 }),
    cri: z.int().min(0).max(100).meta({ description: 'Nominal colour rendering index.' }),
    cct: quantity('Nominal colour temperature.', 'colour-temperature', '4000 K', { above: 0 }),
    life: quantity('Rated life, whole thousands of hours.', 'time', '50000 h', { above: 0 }),
    starts: z.int().min(100).meta({ description: 'Rated starts, whole hundreds.' }),
  })
  .transform(({ 'input-power': inputPower, 'minimum-power': minimumPower, ...rest }) => ({
    inputPower,
    minimumPower,
    ...rest,
  }))
  .meta({ description: 'What stands in banks 1 and 207.' });

const tunableWhite = z
  .strictObject({
    warmest: quantity('Lowest colour temperature.', 'colour-temperature', '2700 K', { above: 0 }),
    coolest: quantity('Highest colour temperature.', 'colour-temperature', '6500 K', { above: 0 }),
  })
  .meta({ description: 'Colour temperatures that it mixes by itself (device type 8).' });

const level = (about: string, example: string) =>
  quantity(about, 'ratio', example, { least: 0, most: 1 });

const asDelivered = z
  .strictObject({
    level: level('What counts as its last level at the first power-up.', '0 %'),
    mix: name('What counts as its last mix: one of this file, or all.'),
    'power-on': z.union([
      z.literal('last').meta({ description: 'The last level, when power returns.' }),
      level('This level, when power returns.', '100 %'),
    ]),
    'system-failure': z
      .union([
        z.literal('hold').meta({ description: 'No change when the DALI bus fails.' }),
        level('This level, when the DALI bus fails.', '100 %'),
      ])
      .default('hold'),
  })
  .transform(({ 'power-on': powerOn, 'system-failure': systemFailure, ...rest }) => ({
    ...rest,
    powerOn,
    systemFailure,
  }))
  .meta({ description: 'What it keeps before anybody has told it anything.' });

/** Shape of a `*.lamp.yaml`. What the figures mean together is checked by readLamp. */
export const lampSchema = z
  .strictObject({
    lamp: name('Name of the lamp.'),
    maker: words('Who makes it; printed in reports.'),
    about: words('One line for people.'),
    channels: z.record(name('Name of the channel.'), channel),
    curve: z.strictObject({
      kind: z.enum(['logarithmic', 'linear']),
      bottom: quantity('Relative light of the lowest level.', 'ratio', '0.1 %', {
        above: 0,
        most: 0.5,
      }),
    }),
    mixes: z
      .record(
        name('Name of the mix.'),
        z.record(
          z.string(),
          quantity('Intensity of the channel.', 'ratio', '62 %', { least: 0, most: 1 }),
        ),
      )
      .default({})
      .meta({ description: 'Named mixes; a channel that is not named is dark.' }),
    modulation,
    stage,
    supply,
    links: z.strictObject({
      console: console.exactOptional(),
      dali: z
        .strictObject({
          'short-address': z.int().min(0).max(63),
          group: z.int().min(0).max(15).exactOptional(),
          'tunable-white': tunableWhite.exactOptional(),
          banks: z
            .array(z.union(reportingBanks.map((bank) => z.literal(bank))))
            .min(1)
            .exactOptional()
            .meta({ description: 'Memory banks of IEC 62386-251 to -253 that it has.' }),
          luminaire: luminaire.exactOptional(),
          rgbwaf: z
            .array(name('Channel.'))
            .min(1)
            .max(6)
            .exactOptional()
            .meta({ description: 'Its red, green, blue, white, amber and free colour.' }),
        })
        .transform(({ 'short-address': shortAddress, 'tunable-white': white, ...rest }) => ({
          shortAddress,
          ...rest,
          ...(white && { tunableWhite: white }),
        }))
        .exactOptional(),
      dmx: z
        .strictObject({
          ...slots,
          rdm: z
            .literal(true)
            .exactOptional()
            .meta({ description: 'It speaks RDM (ANSI E1.20) on the line.' }),
        })
        .transform(({ rdm, ...own }) => ({ ...toSlotLink(own), ...(rdm && { rdm }) }))
        .exactOptional(),
      sacn: z
        .strictObject({ universe: z.int().min(1).max(63_999), ...slots })
        .transform(({ universe, ...own }) => ({ universe, ...toSlotLink(own) }))
        .exactOptional(),
    }),
    'as-delivered': asDelivered.exactOptional(),
    ambient: z
      .strictObject({
        lowest: quantity('Coldest air that it is rated for.', 'temperature', '-20 °C'),
        highest: quantity('Hottest air that it is rated for.', 'temperature', '60 °C'),
      })
      .exactOptional()
      .meta({ description: 'Air in which it may be operated; no spec heats or cools it further.' }),
    processor: processor.exactOptional(),
    memory: memory.exactOptional(),
    adc: adc.exactOptional(),
    spread: z
      .strictObject({
        'forward-voltage': quantity('Of the strings, k = 1.', 'ratio', '3 %', {
          least: 0,
          most: 0.2,
        }).exactOptional(),
      })
      .transform(({ 'forward-voltage': forwardVoltage }) =>
        forwardVoltage === undefined ? {} : { forwardVoltage },
      )
      .exactOptional()
      .meta({ description: 'How parts of the simulated lamp scatter; 1 % where nothing is said.' }),
    crosstalk: quantity(
      "Part of each channel's light that comes out in the colour of the next one, in the simulated lamp.",
      'ratio',
      '1 %',
      { least: 0, most: 0.5 },
    ).exactOptional(),
    'start-up': quantity('From power to the first light.', 'time', '300 ms', {
      least: 0,
      most: 60,
    }),
  })
  .meta({ title: 'Evenfall lamp file' });

/** The parsed file. */
export type LampFile = z.infer<typeof lampSchema>;
