import type { Lamp, LampChannel, SlotLink } from '../../bench/lamp.ts';

/** `board.h` of the starter firmware: what the lamp file says, as the firmware needs it. */
export function starterBoard(lamp: Lamp): string {
  const rows = [
    '/* Facts of the board, computed from the lamp file. check: change them together with it. */',
    '#ifndef BOARD_H\n#define BOARD_H\n',
    `#define CHANNELS ${lamp.channels.length}`,
    '/* Maker, model, serial number (0: none), firmware: the answer to who are you. */',
    `#define IDENTITY ${JSON.stringify(`${lamp.maker}, ${lamp.lamp}, 0, 0.1.0`)}`,
    '/* Light comes this long after power or reset. */',
    `#define START_UP_MS ${Math.round(1000 * (lamp.startUp - (lamp.processor?.boot ?? 0)))}u`,
    '',
    `#define CURVE_IS_LOGARITHMIC ${lamp.curve.kind === 'logarithmic' ? 1 : 0}`,
    `#define BOTTOM ${lamp.curve.bottom}`,
    '',
    ...modulator(lamp),
    '',
    ...stage(lamp),
    '',
    ...slots(lamp.links.dmx ?? lamp.links.sacn),
    '',
    ...delivered(lamp),
    '\n#endif\n',
  ];
  return rows.join('\n');
}

function modulator({ modulation, channels }: Lamp): string[] {
  const bits = `#define MODULATOR_BITS ${modulation.bits}`;
  const setUp = (call: string): string[] => [bits, `#define SET_UP_MODULATOR(channel) ${call}`];
  switch (modulation.kind) {
    case 'pulse-density':
      return setUp(
        `lamp_set_pulse_density(channel, MODULATOR_BITS, ${Math.round(modulation.clock)}u)`,
      );
    case 'pwm': {
      const phases = channels.map((_, index) =>
        Math.round(((index * modulation.phaseShift) % 1) * 65_536),
      );
      return [
        `#define PHASES { ${phases.join(', ')} }`,
        ...setUp(
          `lamp_set_pwm(channel, MODULATOR_BITS, ${Math.round(modulation.frequency)}u, ((const uint32_t[CHANNELS])PHASES)[channel])`,
        ),
      ];
    }
    case 'analogue':
      return setUp('lamp_set_analogue(channel, MODULATOR_BITS)');
  }
}

function stage(lamp: Lamp): string[] {
  const offTime = lamp.stage.kind === 'fixed-off-time' ? Math.round(1e9 * lamp.stage.offTime) : 0;
  const peaks = lamp.channels.map((channel) => Math.round(1e6 * peakCurrent(channel, lamp)));
  const about =
    offTime > 0
      ? '/* Comparator thresholds: I + dI / 2 - overrun, dI = (Vled + Vdiode) * toff / L, overrun = (Vsupply - Vled) * delay / L. */'
      : '/* The current of each channel while on. */';
  return [
    about,
    `#define PEAK_MICROAMPS { ${peaks.join(', ')} }`,
    `#define OFF_TIME_NS ${offTime}u`,
  ];
}

/** A at which the comparator has to switch for the channel's mean current while on. */
function peakCurrent({ maxCurrent, forwardVoltage }: LampChannel, { stage }: Lamp): number {
  if (stage.kind === 'linear') return maxCurrent;
  const { inductance, offTime, diodeDrop, supplyVoltage, comparatorDelay } = stage;
  const ripple = ((forwardVoltage + diodeDrop) * offTime) / inductance;
  return (
    maxCurrent + ripple / 2 - ((supplyVoltage - forwardVoltage) * comparatorDelay) / inductance
  );
}

function slots(link: SlotLink | undefined): string[] {
  const { firstSlot = 1, bits = 16, onLoss = 'hold' } = link ?? {};
  return [
    '/* Slots of DMX512 and sACN: the dim level, then the channels; two bytes each, coarse first, or one. */',
    `#define FIRST_SLOT ${firstSlot}`,
    `#define SLOT_BYTES ${bits / 8}`,
    `#define LOSS_DARKENS ${onLoss === 'off' ? 1 : 0}`,
  ];
}

function delivered({ asDelivered }: Lamp): string[] {
  const { level = 0, powerOn = 'last' } = asDelivered ?? {};
  return [
    '/* What counts as the last level at the first power-up, and what is shown when power returns. */',
    `#define DELIVERED_LEVEL ${level}`,
    `#define POWER_ON_IS_LAST ${powerOn === 'last' ? 1 : 0}`,
    `#define POWER_ON_LEVEL ${powerOn === 'last' ? 0 : powerOn}`,
  ];
}
