import type { BankProperty } from '../../../harness/bench/lamp-properties.ts';
import { withinOne } from '../../console/command-line.ts';
import { sendTwiceWindow } from '../../dali/frame.ts';
import { fadeRateOf, fadeTimeOf, lightOfLevel } from '../../dali/levels.ts';
import { type GearTraits, healthyGear } from './gear-traits.ts';

/**
 * The places where the reference firmware can be wrong. The healthy ones compute what the lamp promises; a seeded
 * fault replaces one or wraps it. All functions are pure, so that the same seed gives the same light.
 */
export interface FirmwareTraits {
  /** Brightness of a channel (0..1) from dim level and intensity (0..1 each). */
  product(level: number, intensity: number, channel: number): number;
  /** Brightness of a fade at `progress` 0..1 between two brightnesses above 0. */
  fade(from: number, to: number, progress: number, channel: number): number;
  /** Seconds that a channel takes for a fade that was ordered to take `seconds`. */
  fadeTime(seconds: number, channel: number): number;
  /** Seconds that a channel waits before it starts its fade. */
  fadeDelay(channel: number): number;
  /** Brightness from which a new fade starts: `present` now, `former` the target of the fade that it replaces. */
  retarget(present: number, former: number): number;
  /** What reaches the output stage when the arithmetic wants `brightness` (dead zone, coarse steps, hysteresis). */
  output(brightness: number, at: OutputContext): number;
  /** What the output stage gets until the first light, `age` seconds after the start. */
  whileStarting(age: number): number;
  /** Whole modulator code of a code with fraction, where no dither is applied. */
  round(code: number): number;
  /** Dither between neighbouring codes; `none` rounds. */
  readonly dither: 'error-feedback' | 'none';
  /** Ticks from one step of the dither to the next. */
  readonly ditherTicks: number;
  /** Tick periods by which the firmware's clock moves on in its tick number `tick`, `now` s after power-up (missed tick 0, drift 1.01). */
  clock(tick: number, now: number): number;
  /** Seconds of processor time that one command takes; ticks fall out while the processor is behind. */
  readonly commandCost: number;
  /** Whether light order number `index` (from 0) is carried out; the lamp acknowledges it either way. */
  obeys(index: number): boolean;
  /** Seconds from the receipt of light order number `index` to its start, with `waiting` orders ahead of it. */
  actsAfter(index: number, waiting: number): number;
  /** Commands that arrive in a fade: the last one wins, or they are dropped. */
  readonly duringFade: 'last-wins' | 'dropped';
  /** Seconds after the start of a fade at which the firmware restarts by itself. */
  readonly crashAfter: number | null;
  /** Whether a tick kicks the watchdog, `fadingFor` s after a fade began; null: none runs. */
  kicksWatchdog(fadingFor: number | null): boolean;
  /** Seconds for which the light goes out when the supply steps by more than a few per cent. */
  readonly supplyStepDip: number;
  /** The link that moved the light first is the only one that may move it again. */
  readonly locksOnLink: boolean;
  /** Light and mix before power loss come back. */
  readonly recallsLastLevel: boolean;
  /** s from one write of the light into non-volatile memory to the next while a fade runs; null: none. */
  readonly storesEvery: number | null;
  /** Intensities that come back, of those before the power loss. */
  recalledMix(intensities: readonly number[]): readonly number[];

  /** Dim level that the lamp has after a console line that it refused, where it had `level` before. */
  refusedLevel(level: number): number;

  readonly gear: GearTraits;
  /** Relative light 0..1 of DALI arc power level 1..254 (IEC 62386-102 logarithmic curve). */
  daliLight(level: number): number;
  /** Seconds of DALI fade time code 1..15. */
  daliFadeTime(code: number): number;
  /** Levels per second of DALI fade rate code 1..15. */
  daliFadeRate(code: number): number;
  /** A level 1..254 held between MIN and MAX. */
  daliClamp(level: number, lowest: number, highest: number): number;
  /** Seconds within which a configuration command has to come again; null: once is enough. */
  readonly sendTwice: number | null;
  /** Colour temperature that the gear mixes where `wanted` was commanded, mirek. */
  mirek(wanted: number): number;
  /** Channel that a primary's level goes to. */
  primary(number: number): number;
  /** Colour temperature that the gear says it has, mirek. */
  toldMirek(actual: number): number;
  /** J and W as they stand in memory, where the meter has `joules` and `watts`. */
  meteredEnergy(joules: number): number;
  meteredPower(watts: number): number;
  /** s of light as they stand in memory, of so many with light and with power. */
  countedLight(lit: number, operating: number): number;
  /** Number that is written into memory for a property, where `value` is right. */
  bankValue(property: BankProperty, value: number): number;
  /** Slots that RDM states where the lamp takes `slots`, and the highest start address that is taken where `last` is right. */
  toldFootprint(slots: number): number;
  highestStartAddress(last: number): number;
  /** A start address that is set by RDM moves the slots that are read. */
  readonly movesSlots: boolean;
  /** Minimum level that is kept where RDM sets `level`, of 65535. */
  storedMinimum(level: number): number;
  /** What the gear takes a frame of 24 bits for, which is meant for control devices; null where it ignores it. */
  longFrame(frame: readonly number[]): readonly number[] | null;

  /** DMX start codes whose slots the lamp takes as levels. */
  takesStartCode(code: number): boolean;
  /** Bytes that come without a break begin a frame, too. */
  readonly needsNoBreak: boolean;
  /** Whether a break, and the mark behind it, are known for what they are. s */
  takesBreak(low: number, mark: number): boolean;
  /** Whether frame number `index` with new values (from 0) is acted on. */
  heedsFrame(index: number): boolean;
  /** Slot, from 0, that byte number `index` behind the start code goes to. */
  slotPlace(index: number): number;
  /** Value of two slots, coarse first, where it was `before` in the last frame that counted. */
  pairValue(coarse: number, fine: number, before: number): number;
  /** Level of slot value 0, which is off. */
  readonly zeroLevel: number;
  /** Frames by which the value of a channel is behind. */
  slotLag(channel: number): number;
  /** Slots that a frame ends before keep their values; or they are cleared. */
  readonly clearsShortFrames: boolean;
  /** Level that the first frame after a start gives for `firstFrameLasts` seconds; null: what it says. */
  readonly firstFrameLevel: number | null;
  readonly firstFrameLasts: number;
  /** Frames count again when the signal was lost. */
  readonly resumesAfterLoss: boolean;
  /** Level or intensity of a console line, 0..1, where the line says `wanted`; null where it is refused. */
  consoleFigure(wanted: number): number | null;
  /** Seconds without DMX after which the lamp does what its lamp file says; null: never. */
  readonly signalLoss: number | null;
  /** What the lamp really does then, where its lamp file promises `promised`. */
  lossAction(promised: 'hold' | 'off'): 'hold' | 'off';
  /** Relative value 0..1 of a slot or pair of slots as the lamp reads it. */
  slotValue(value: number, highest: number): number;
}

interface OutputContext {
  readonly channel: number;
  /** Number of the control tick since start. */
  readonly tick: number;
  /** s */
  readonly tickPeriod: number;
  /** What this channel's output got at the tick before. */
  readonly previous: number;
  readonly fading: boolean;
  /** Of the board, °C. */
  readonly temperature: number;
  /** Where the channel is going, and where it came from. */
  readonly target: number;
  readonly origin: number;
}

/** What the lamp promises. Curve and fade table: IEC 62386-102 (9.3, 9.5); loss of signal: ANSI E1.11. */
export const healthyFirmware: FirmwareTraits = {
  product: (level, intensity) => level * intensity,
  fade: (from, to, progress) => from * (to / from) ** progress,
  fadeTime: (seconds) => seconds,
  fadeDelay: () => 0,
  retarget: (present) => present,
  output: (brightness) => brightness,
  whileStarting: () => 0,
  round: (code) => Math.round(code),
  dither: 'error-feedback',
  ditherTicks: 1,
  clock: () => 1,
  commandCost: 50e-6,
  obeys: () => true,
  actsAfter: () => 0,
  duringFade: 'last-wins',
  crashAfter: null,
  kicksWatchdog: () => true,
  supplyStepDip: 0,
  locksOnLink: false,
  recallsLastLevel: true,
  storesEvery: null,
  recalledMix: (intensities) => intensities,
  refusedLevel: (level) => level,

  gear: healthyGear,
  daliLight: lightOfLevel,
  daliFadeTime: fadeTimeOf,
  daliFadeRate: fadeRateOf,
  daliClamp: (level, lowest, highest) => Math.min(highest, Math.max(lowest, level)),
  sendTwice: sendTwiceWindow,
  mirek: (wanted) => wanted,
  primary: (number) => number,
  toldMirek: (actual) => actual,
  meteredEnergy: (joules) => joules,
  meteredPower: (watts) => watts,
  countedLight: (lit) => lit,
  bankValue: (_, value) => value,
  toldFootprint: (slots) => slots,
  highestStartAddress: (last) => last,
  movesSlots: true,
  storedMinimum: (level) => level,
  longFrame: () => null,

  takesStartCode: (code) => code === 0,
  needsNoBreak: false,
  takesBreak: () => true,
  heedsFrame: () => true,
  slotPlace: (index) => index,
  pairValue: (coarse, fine) => (coarse << 8) | fine,
  zeroLevel: 0,
  slotLag: () => 0,
  clearsShortFrames: false,
  firstFrameLevel: null,
  firstFrameLasts: 0,
  resumesAfterLoss: true,
  consoleFigure: withinOne,
  signalLoss: 1.25,
  lossAction: (promised) => promised,
  slotValue: (value, highest) => value / highest,
};
