import type { SpectralPower, SpectralQuality } from '../measure/colorimetry/spectral-power.ts';
import type { CameraFrame, ProbeTrack, SensorReading } from '../measure/observation.ts';
import type { UnitSymbol } from '../units/unit.ts';
import type { DriveTrack } from './drive-track.ts';
import type { FirmwareLog } from './firmware-log.ts';
import type { HeardStory } from './heard.ts';
import type { LampProperty } from './lamp-properties.ts';
import type { Wire } from './rig.ts';
import type { SacnField } from './sacn-fields.ts';

/**
 * The ports: what every instrument promises, whatever it is. Types only.
 *
 * Common promises
 * - Every call takes `Call`: it settles before `deadline` seconds have passed on the wall clock, or rejects with
 *   BenchError `timeout`; when `signal` aborts it rejects with `cancelled` at once and leaves the instrument usable
 *   or closed, never half-way through a reply.
 * - Errors are BenchError with a closed `kind`. A driver never resolves with a value it is not sure of.
 * - `close()` is idempotent, never rejects, cancels work in flight (whose promises reject with `closed`), and
 *   frees the transport. After it every call rejects with `closed`.
 */
export interface Call {
  readonly signal: AbortSignal;
  /** Wall-clock seconds that the call may take. */
  readonly deadline: number;
}

/** Who the instrument says it is. `raw` is the unparsed reply. */
export interface Identity {
  readonly maker: string;
  readonly model: string;
  readonly serial: string;
  readonly firmware: string;
  readonly raw: string;
}

interface Common {
  /** Name in the rig file. */
  readonly name: string;
  /** Driver's name, e.g. `plant`, `scpi`. */
  readonly driver: string;
  identify(call: Call): Promise<Identity>;
  close(): Promise<void>;
}

/** Time of the condition: 0 when the condition starts. Virtual on the plant, monotonic on a bench. */
export interface Clock {
  readonly kind: 'virtual' | 'real';
  /** Seconds since the condition started. */
  now(): number;
  /** Resolves when `now() >= instant`; rejects with `cancelled` when the signal aborts. */
  waitUntil(instant: number, signal: AbortSignal): Promise<void>;
}

/** A level and a mix, complete: every channel of the lamp has an intensity. Both 0..1. */
export interface LampTarget {
  readonly level: number;
  readonly intensities: Readonly<Record<string, number>>;
}

/** How a sender makes its DMX512 frames; what is absent is as the sender makes them usually. */
export interface FrameShape {
  /** Frames a second. */
  readonly rate?: number;
  /** Break, and mark after it, s. */
  readonly break?: number;
  readonly mark?: number;
  /** Slots of each frame: cut there, or filled up with zeros. */
  readonly slots?: number;
}

/** Something sent as it is. */
export type RawMessage =
  | {
      readonly link: 'console';
      readonly line: string;
      /** Tells the answer that is waited for behind other lines, which may be the lamp's log; without it the first line is the answer. */
      readonly isAnswer?: (line: string) => boolean;
    }
  | {
      readonly link: 'dali';
      /** Two bytes, or three for a 24-bit frame. */
      readonly frame: readonly number[];
      /** Send it twice within 100 ms, as configuration commands want. */
      readonly twice?: boolean;
      /** Wait for a backward frame. */
      readonly answer?: boolean;
      /** ENABLE DEVICE TYPE of this number goes ahead of it (8: colour control gear). */
      readonly deviceType?: number;
    }
  | {
      readonly link: 'dmx' | 'sacn';
      readonly startCode: number;
      /** Slot values from slot 1 on. */
      readonly slots: readonly number[];
      readonly priority?: number;
      readonly preview?: boolean;
      readonly terminated?: boolean;
      /** Overrides the running sequence number (sACN). */
      readonly sequence?: number;
      /** sACN: the packet waits for a synchronisation packet of this address; or, of one, the address itself. */
      readonly syncAddress?: number;
      /** sACN: it need not wait where nobody synchronises any more. */
      readonly forceSync?: boolean;
      /** sACN: a packet without levels, that synchronises or lists universes. */
      readonly packet?: 'sync' | 'discovery';
      readonly universes?: readonly number[];
      /** sACN: from a sender of this name, which has a CID and numbers of its own. */
      readonly source?: string;
      /** sACN: instead of the lamp's. */
      readonly universe?: number;
      /** sACN: fields of the packet that are written over, and the bytes that are left of it. */
      readonly fields?: Readonly<Partial<Record<SacnField, number>>>;
      readonly length?: number;
      /** sACN: these bytes and nothing else. */
      readonly datagram?: readonly number[];
      /** DMX512: how this frame is made, and those that repeat it. */
      readonly frame?: FrameShape;
    };

/** What came back: text of a console, the byte of a backward frame, or null where the lamp stayed silent. */
export type Reply = { readonly text: string } | { readonly byte: number } | null;

/** What a lamp said of itself: SI, its step, and between which instants it held, s on the clock. */
export interface SelfReport {
  readonly value: number;
  readonly resolution: number;
  readonly from: number;
  readonly to: number;
}

/** The lamp says that it has, or knows, no such thing; finishes a sentence that begins with "the lamp". */
export interface Unsaid {
  readonly refused: string;
}

/** When something left: s on the clock, from its first bit on, and how long it took to be over, s. */
export interface Departure {
  readonly began: number;
  readonly lasted: number;
}

/**
 * The control link of the lamp. `set` and `fade` resolve when the command has left the link whole
 * (not when the fade has ended).
 */
export interface LampLink extends Common {
  readonly kind: 'lamp-link';
  /** `console`, `dali`, `dmx`, `sacn`, `webpage`. */
  readonly link: string;
  set(target: LampTarget, call: Call): Promise<void>;
  /** Fade to the target over `over` seconds. */
  fade(target: LampTarget, over: number, call: Call): Promise<void>;
  send(message: RawMessage, call: Call): Promise<Reply>;
  /**
   * Stop sending (DMX, sACN: loss of signal; DALI: the bus loses its power, where the interface can switch it), `true`
   * to go on. Others reject with `unsupported`.
   */
  carry(on: boolean, call: Call): Promise<void>;
  /**
   * Put bytes on the link that are no message for the lamp, as a disturbance would: on a console a garbled line, which a
   * line end closes; on DMX bytes without a break; on sACN a datagram that is no packet; on DALI frames of 24 bits, which are
   * not for control gear. Resolves when they have left, and what the lamp says to them has been read away: the next message
   * goes out whole. Links that can only send whole messages reject with `unsupported`.
   */
  noise(bytes: Uint8Array, call: Call): Promise<void>;
  /** Restart the lamp's firmware, as by its reset pin or command. */
  reset(call: Call): Promise<void>;
  /**
   * Seconds from handing over the message that took effect last to its confirmation: the lamp acted meanwhile, nobody
   * knows when. Links without a confirmation leave it out.
   */
  readonly exchange?: number;
  /**
   * Lines that the lamp said beside its answer to the last message, such as those of its log; the first of them. Links whose lamp
   * says nothing else leave it out.
   */
  readonly besides?: readonly string[];
  /**
   * When that message was handed over, s on the clock. A busy computer may hear of the confirmation long after it came, and must not take
   * the command for later than it was. Links that leave it out are taken at their `exchange` before now.
   */
  readonly departed?: number;
  /**
   * Of a link that streams and hears nothing back: the first frame with what `set` or `fade` commanded last; null before any.
   * A command counts from the beginning of that frame, since the lamp cannot know the new value before, and may act on its slots
   * as they come: within the frame's time nobody knows when. Links with a confirmation leave it out.
   */
  readonly firstFrame?: Departure | null;
  /**
   * How the frames of the next `set` or `fade` are made, and those that repeat it; null as usual. Returns why it cannot make such
   * frames, in a clause, else null. Links without frames leave it out.
   */
  shape?(frame: FrameShape | null): string | null;
  /** Everything that it sends is told in what the bench `heard`. */
  readonly tells?: boolean;
  /**
   * The lamp has lost its power, or was restarted by other means: whatever the link believes to be in the lamp is void, and
   * a stream of frames ends. Links that remember nothing leave it out.
   */
  forget?(): void;
  /**
   * What the lamp says of itself on this link, as against what carries it: null where it answers, but cannot say. Rejects with
   * `timeout` where the lamp does not answer, and with `collision` where more than one does. Links on which a lamp never
   * answers leave it out.
   */
  whoIsLamp?(call: Call): Promise<Identity | null>;
  /**
   * Rejects with `garbled` where answers are made up, changed, or (`thorough`, which takes a few seconds) lost on their way here. What the
   * lamp holds for the next command may be changed by it. Links whose lamp never answers, or that cannot tell, leave it out.
   */
  mustCarry?(how: { readonly thorough: boolean }, call: Call): Promise<void>;
  /**
   * The dim level that the lamp says it has, 0..1, whoever set it; null where it cannot say. Rejects with `timeout` where it
   * does not answer. Links that cannot ask leave it out. Changes nothing in the lamp.
   */
  level?(call: Call): Promise<number | null>;
  /**
   * The temperature that the lamp says its board has, °C; null where it cannot say. Rejects with `timeout` where it does not
   * answer. Links that cannot ask leave it out.
   */
  temperature?(call: Call): Promise<number | null>;
  /**
   * What the lamp says of itself, read until two readings agree: nobody is to blame for an answer that was lost. Rejects with
   * `timeout` where the lamp does not answer at all, and with `garbled` where no two readings agree. Links that cannot ask
   * leave it out.
   */
  ask?(property: LampProperty, call: Call): Promise<SelfReport | Unsaid>;
  /**
   * Sets what the lamp keeps for itself, SI: null where it took it, otherwise its reason to refuse, in a word. Rejects as `ask`
   * does. Links that cannot leave it out.
   */
  tell?(property: LampProperty, value: number, call: Call): Promise<string | null>;
  /** Light off; resolves only when the lamp has confirmed it or the link cannot (then `confirmed: false`). */
  safe(call: Call): Promise<{ readonly confirmed: boolean }>;
}

export interface InputSetup {
  /** Name of the input in the rig file's wiring. */
  readonly input: string;
  /** Largest magnitude expected at its terminals, V; a digitiser with ranges takes the one above it. */
  readonly expectedPeak?: number;
  /** Channel that an input which serves several in turn has to be switched to; only where `switches` is true. */
  readonly of?: string;
}

/** A finished record of one input: raw codes and how to read them. */
export interface RawCapture {
  readonly input: string;
  readonly codes: Int16Array | Int32Array | Float32Array;
  /** value = code * scale + offset, in `unit` (the unit at the input's terminals, e.g. V). */
  readonly scale: number;
  readonly offset: number;
  readonly unit: UnitSymbol;
  /** Codes at or beyond these are clipped. */
  readonly lowest: number;
  readonly highest: number;
  /** Samples per second, Hz, as the instrument really ran. */
  readonly rate: number;
  /** Start of the first sample on the clock, s. */
  readonly start: number;
  /**
   * Standard uncertainty of `start`, s. A driver that leaves it out says nothing of it: on a real clock the engine then takes the
   * start to be anywhere from arming to where the promise of `arm` ends it, or the record's length before the hand-over.
   */
  readonly standardStart?: number;
  /** What proved that it is a new record: a count or a time of the instrument's own, or something set for it alone. */
  readonly proof?: 'count' | 'time' | 'nonce';
}

/** An armed acquisition. `started` is on the clock; `finished` resolves with all inputs, whole, or rejects. */
export interface Acquisition {
  readonly started: number;
  readonly finished: Promise<readonly RawCapture[]>;
}

export interface DigitiserCapabilities {
  readonly inputs: readonly string[];
  /** Samples per second and input. */
  readonly highestRate: number;
  /** Samples per input. */
  readonly longestRecord: number;
  readonly bits: number;
  /** `integrating` averages over the sample interval; `point` samples an instant and may alias. */
  readonly acquisition: 'integrating' | 'point';
  /** Its inputs can be switched to the channel that `of` names. Absent: a rig needs an input for each channel. */
  readonly switches?: boolean;
  /** Has to finish a record, and hand it over, before it can begin the next one. */
  readonly oneRecord?: boolean;
  /** Its records were taken on an earlier day and are as long as they are. */
  readonly stored?: boolean;
  /** Each of its records carries something that was set for it alone: nobody need look whether it is an old one. */
  readonly provesFresh?: boolean;
}

export interface Digitiser extends Common {
  readonly kind: 'digitiser';
  readonly capabilities: DigitiserCapabilities;
  /** Resolves when sampling has begun. */
  arm(
    setup: {
      readonly inputs: readonly InputSetup[];
      readonly rate: number;
      readonly duration: number;
      /**
       * Seconds for which it goes on when `duration` is over, asked again until there are none: on a bench whose time is virtual, where
       * nobody can know it beforehand.
       */
      readonly more?: () => number;
    },
    call: Call,
  ): Promise<Acquisition>;
}

/**
 * Saturation and under-range are results, not errors. The integration lies between the call and its answer; nothing changes the
 * light on purpose meanwhile.
 */
export interface ColourSensor extends Common {
  readonly kind: 'colour-sensor';
  read(setup: { readonly integration: number }, call: Call): Promise<SensorReading>;
}

/** What a spectrometer measured. */
export interface Spectrum extends SpectralPower, SpectralQuality {
  /** Middle of the integration, s. */
  readonly at: number;
  /** Integration time, s. */
  readonly integration: number;
  readonly state: SensorReading['state'];
}

/** Integrates from the call on; nothing changes the light on purpose until it has answered. */
export interface Spectrometer extends Common {
  readonly kind: 'spectrometer';
  measure(setup: { readonly integration: number }, call: Call): Promise<Spectrum>;
}

export interface Supply extends Common {
  readonly kind: 'supply';
  /** `dc` supply in volts, or a mains source: rms volts. Limits of the rig file are enforced by the engine and again here. */
  set(setup: { readonly volts: number; readonly limitAmps?: number }, call: Call): Promise<void>;
  output(on: boolean, call: Call): Promise<void>;
  read(call: Call): Promise<SupplyReading>;
  /** Forgets the protections that are latched; supplies that latch none leave it out. */
  clear?(call: Call): Promise<void>;
}

export interface SupplyReading {
  readonly volts: number;
  readonly amps: number;
  readonly on: boolean;
  /** Holds its voltage, or its current limit; absent where the supply does not say. */
  readonly mode?: 'voltage' | 'current';
  /** Protections that have acted since they were last cleared or read, also where all is well again; absent where none are told. */
  readonly protections?: readonly string[];
}

/** A relay or smart switch in the lamp's supply. */
export interface PowerSwitch extends Common {
  readonly kind: 'switch';
  /** Closed (the lamp has power) or open. Resolves when it has moved, and says so where it can. */
  output(on: boolean, call: Call): Promise<void>;
  read(call: Call): Promise<SwitchReading>;
}

export interface SwitchReading {
  /** Its contacts are closed, as far as it knows: what it was told, or what a contact of its own senses. */
  readonly on: boolean;
  /** W or A that go through it, where it measures them. */
  readonly watts?: number;
  readonly amps?: number;
}

/** What conditions the air about the lamp. */
export interface Chamber extends Common {
  readonly kind: 'chamber';
  /** The air is to have this temperature, °C. Resolves when that was taken: the air follows by and by. */
  set(setup: { readonly celsius: number }, call: Call): Promise<void>;
  /** Conditioning off; the air goes back to that of the room. */
  stop(call: Call): Promise<void>;
  read(call: Call): Promise<ChamberReading>;
}

export interface ChamberReading {
  /** Of the air about the lamp, °C, by the chamber's own sensor. */
  readonly celsius: number;
  /** That it is to have, °C; absent where the chamber does not say. */
  readonly setPoint?: number;
  /** It conditions the air. */
  readonly on: boolean;
  /** What it complains of now: an open door, a limiter that has acted. */
  readonly alarms?: readonly string[];
}

/** Reads a temperature and sets nothing: a probe beside the lamp. */
export interface Thermometer extends Common {
  readonly kind: 'thermometer';
  /** °C */
  read(call: Call): Promise<{ readonly celsius: number }>;
}

export interface Camera extends Common {
  readonly kind: 'camera';
  shoot(
    setup: { readonly exposure: number; readonly frameRate: number },
    call: Call,
  ): Promise<CameraFrame>;
}

export type Instrument =
  | LampLink
  | Digitiser
  | ColourSensor
  | Spectrometer
  | Supply
  | PowerSwitch
  | Chamber
  | Thermometer
  | Camera;

/** Takes what comes while a long condition is under way: it may never end. Returns at once, and never throws. */
export interface PieceKeeper {
  /** A whole record in the unit of its wire, on the condition's time line. `file`: name of its capture's file. */
  record(
    file: string,
    record: RawCapture,
    more: { readonly signal: string; readonly of: string },
  ): void;
  reading(reading: SensorReading & { readonly of: string }): void;
  /** What an instrument beside the lamp said: supply, chamber. `at` on the condition's time line, s. */
  bench(line: { readonly instrument: string; readonly at: number }): void;
}

/** What a rig has handed over in this run, to tell when an old record comes again. */
export interface TakenBefore {
  /** Whether the instrument has handed over the same record before, of any input; remembers this one. */
  isRepeated(instrument: string, record: RawCapture): boolean;
  /**
   * Index of the first samples that stood in an earlier record of the instrument, noise and all; null where there are none. Remembers
   * these. `unlikely`: so many samples in a row noise does not leave alike.
   */
  earlierStretch(instrument: string, record: RawCapture, unlikely: number): number | null;
  /** What it read of the lamp without power; null where nobody has looked. */
  darkOf(instrument: string): DarkLook | null;
  noteDark(instrument: string, look: DarkLook): void;
  /** It has read the light as something else than the dark. */
  isProved(instrument: string): boolean;
  noteProved(instrument: string): void;
  /** Something else of the bench has been looked at, once since its instruments were opened. */
  isChecked(what: string): boolean;
  noteChecked(what: string): void;
}

/** What an input read of a lamp without power, in the unit of its wire, in averages of 10 ms. */
export interface DarkLook {
  readonly input: string;
  /** Greatest magnitude. */
  readonly most: number;
  readonly mean: number;
  readonly scatter: number;
  /** It was not dark. */
  readonly lit: boolean;
}

/** What goes on inside a lamp, told afterwards. Of the simulated lamp alone, where its bench was opened for that. */
export interface InsideLamp {
  /** In the lamp file's order of channels. */
  drives(): readonly DriveTrack[];
  /** Every call into the firmware and out of it, as text for a native build of the same sources; null where it was too much to keep. */
  transcript(): string | null;
  /**
   * What an instrument without errors and noise would have recorded on a wire: `samples` at `rate` (Hz) from `start` (s on the bench's
   * clock) on, which have to lie in the past. `of`: the channel, where the wire serves several.
   */
  record(
    wire: Wire,
    of: string,
    span: { readonly start: number; readonly rate: number; readonly samples: number },
  ): RawCapture;
}

/** A rig with everything opened: what the engine is handed. The engine alone decides what is wired to what. */
export interface OpenBench {
  readonly clock: Clock;
  /** By name in the rig file. */
  readonly instruments: ReadonlyMap<string, Instrument>;
  /** What it has handed over in this run; absent where a record may come twice, as from the simulated bench. */
  readonly taken?: TakenBefore;
  /** Of the condition under way, where it is long. */
  readonly pieces?: PieceKeeper;
  /**
   * Everything that was sent to the lamp since the bench was opened, by its links and by what holds its power. Absent where one of the
   * links cannot tell, null where it has become too much to keep.
   */
  heard?(): HeardStory | null;
  /** What the firmware logged since the bench was opened; absent where it has no way to. */
  firmwareLog?(): FirmwareLog;
  /** Variables that the firmware has told since the bench was opened; absent where it has no way to. */
  probes?(): readonly ProbeTrack[];
  /** Is told when the stimulus of a pass begins, s on its clock. */
  began?(zero: number): void;
  /** What goes on inside the lamp; only of a bench that was opened to keep everything. */
  readonly inside?: InsideLamp;
  /** Facts worth storing with the run, e.g. component values drawn for the plant. */
  readonly notes: Readonly<Record<string, string | number>>;
  close(): Promise<void>;
}
