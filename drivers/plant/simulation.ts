import { LampFailure } from '../../harness/bench/errors.ts';
import type { Heard } from '../../harness/bench/heard.ts';
import type { Lamp } from '../../harness/bench/lamp.ts';
import { EventQueue } from './clock/event-queue.ts';
import type { Board, RestartCause } from './firmware/board.ts';
import type { Firmware, LampHardware, LinkInput } from './firmware/firmware.ts';
import { FirmwareSenses } from './firmware-senses.ts';
import { LampState } from './lamp-state.ts';
import type { PlantModel } from './model.ts';
import { neverIdle } from './never-idle.ts';
import { NonVolatileMemory } from './non-volatile-memory.ts';
import { Output } from './output.ts';
import { type Interrupt, Processor } from './processor.ts';
import { PinLine } from './sensors/pin.ts';
import type { StageSetting } from './stage/channel-stage.ts';
import { Watchdog } from './watchdog.ts';

/** s, by the processor's own timers, where the lamp file does not say. */
const usualTick = 1e-3;
/** s from one look at heat and rail to the next while the firmware is at work; up to this many times longer at rest. */
const slowPeriod = 10e-3;
const longestSlow = 16;
const syncPulse = 1e-3;
/** s that writes of one instant take. Invented: less than a tick, so that writes of two ticks are told apart. */
const writeTime = 0.2e-3;
/** s that a brown-out detector holds the processor in reset. Common practice, no source; the figure is invented. */
const resetHold = 20e-3;
/** Steps after which a long simulation lets others have the processor. */
const stepsPerTurn = 20_000;
/** So many steps show whether firmware is ever idle; more than so many in one wait would take an hour or so of the machine. */
const stepsToTell = 600_000;
const mostSteps = 2e9;

type Happening =
  | { readonly kind: 'input'; readonly input: LinkInput; readonly last: boolean }
  | { readonly kind: 'reset'; readonly cause: RestartCause }
  | { readonly kind: 'action'; act(): void }
  | { readonly kind: 'sync-low' };

/**
 * The lamp on its time line: firmware ticks, bytes and power in order of time, written down as drive lines, epochs and
 * pins. Nothing here looks at samples: sensors read the lines afterwards.
 */
export class Simulation {
  /** One a channel, in the lamp file's order. */
  readonly outputs: readonly Output[];
  readonly state: LampState;
  readonly busy = new PinLine();
  /** High while non-volatile memory is written. */
  readonly writing = new PinLine();
  readonly sync = new PinLine();
  private readonly lamp: Lamp;
  private readonly model: PlantModel;
  private readonly firmware: Firmware;
  private readonly memory: NonVolatileMemory;
  /** The supply is gone, and the processor runs on. */
  private isHeldUp = false;
  private readonly events = new EventQueue<Happening>();
  private readonly listeners: ((
    link: 'console' | 'dali' | 'dmx',
    byte: number,
    at: number,
  ) => void)[] = [];
  /** s from one tick to the next: what firmware takes it for, and what it is. */
  private readonly tickPeriod: number;
  private readonly period: number;
  private readonly watchdog: Watchdog;
  private restartCause: RestartCause = 'power';
  /** Starts of the processor, so that a boot which was cut short ends in nothing. */
  private starts = 0;
  private at = 0;
  /** The source is on; the rail may outlast it. */
  private supplied = false;
  private poweredAt = 0;
  /** The DALI bus has power. */
  private busPowered = true;
  /** Number and instant of the firmware's first tick since its start; ticks lie on a grid from there. */
  private startedAt = 0;
  /** Where the processor has got to in the work that is charged to it; later than the present where it is behind. */
  private processorAt = 0;
  /** The processor has power and is not held in reset. */
  private running = false;
  private nextTick = Number.POSITIVE_INFINITY;
  private nextSlow = Number.POSITIVE_INFINITY;
  private slowness = 1;
  private readonly senses: FirmwareSenses;
  /** What takes time, where interrupts preempt. */
  private readonly processor: Processor;
  /** A tick has been served since the last byte: what the main loop says of being idle counts. */
  private ticked = false;
  /** How far the main loop may go in its piece of work, s; null outside of it. */
  private workUntil: number | null = null;
  /** The tick to come is for a reading that changed, and for nothing else. */
  private onlySensing = false;
  /** The firmware has set its hardware since the tick before. */
  private wrote = false;
  private failure: LampFailure | null = null;

  /** `memory` is the lamp's non-volatile memory, blank as from the factory unless it has been another's before. */
  constructor(
    lamp: Lamp,
    model: PlantModel,
    firmware: Firmware,
    memory = new Uint8Array(256).fill(0xff),
  ) {
    this.memory = new NonVolatileMemory(memory, model.memory, this, (busy) =>
      this.writing.set(this.at, busy),
    );
    this.lamp = lamp;
    this.model = model;
    this.firmware = firmware;
    const offTime = lamp.stage.kind === 'fixed-off-time' ? lamp.stage.offTime : 0;
    this.outputs = model.channels.map(
      (channel) => new Output(channel, model.modulator, { peak: 0, offTime }),
    );
    this.state = new LampState(lamp, model, this.outputs);
    this.senses = new FirmwareSenses(this.state);
    this.processor = new Processor(lamp);
    this.tickPeriod = lamp.processor?.tick ?? usualTick;
    this.period = this.tickPeriod / model.processor.rate;
    this.watchdog = new Watchdog(model.processor.watchdog, this, () => this.restart('watchdog'));
  }

  now(): number {
    return this.at;
  }

  /** The bytes that the firmware sends. */
  listen(listener: (link: 'console' | 'dali' | 'dmx', byte: number, at: number) => void): void {
    this.listeners.push(listener);
  }

  /** Who is told of supply, air and reset. */
  onHeard: (event: Heard) => void = () => {};

  /** Who is told of the lines that the firmware logs. */
  onLogged: (at: number, text: Uint8Array) => void = () => {};

  /** Who is told of the values of its variables. */
  onProbed: (at: number, name: string, unit: string, value: number) => void = () => {};

  /** Who knows the code of an analogue input at an instant. */
  onConvert: (input: number, at: number) => number = () => 0;

  /** When the processor started last, s; null without power. */
  upSince(): number | null {
    return this.state.powered ? this.startedAt : null;
  }

  deliver(at: number, input: LinkInput, last = false): void {
    this.push(at, { kind: 'input', input, last });
  }

  reset(at: number): void {
    this.onHeard({ kind: 'reset', at: Math.max(at, this.at) });
    this.push(at, { kind: 'reset', cause: 'reset-pin' });
  }

  /** Calls `act` when the simulation comes to `at`. */
  schedule(at: number, act: () => void): void {
    this.push(at, { kind: 'action', act });
  }

  /** The main loop goes no further than to what is to happen. */
  private push(at: number, event: Happening): void {
    this.events.push(Math.max(at, this.at), event);
    if (this.workUntil === null || at >= this.workUntil) return;
    this.workUntil = Math.max(at, this.at);
    this.firmware.mainLoop?.pauseSoon();
  }

  /** The processor hangs until the power is switched: nothing is taken, and nothing answers. */
  hang(): void {
    this.starts++;
    this.stop();
  }

  dark(): boolean {
    return this.outputs.every(({ line }) => line.present === 0);
  }

  /** Source voltage from now on. */
  setSource(volts: number): void {
    this.state.source = volts;
    if (this.supplied) this.onHeard({ kind: 'supply', at: this.at, volts });
    this.state.step(this.at, true);
    this.wakeSlow();
    this.watchRail();
    this.heedSenses();
  }

  /** Air about the lamp from now on, °C. */
  setAmbient(celsius: number): void {
    this.model.thermal.ambient = celsius;
    this.onHeard({ kind: 'air', at: this.at, celsius });
    this.state.step(this.at, true);
    this.wakeSlow();
  }

  /** Power on starts the firmware; power off stops it and darkens the lamp, its memory stays. */
  setPower(on: boolean): void {
    if (on === this.supplied) return;
    this.supplied = on;
    this.onHeard({ kind: 'supply', at: this.at, volts: on ? this.state.source : 0 });
    if (on && this.isHeldUp) {
      // The processor never lost its power.
      this.isHeldUp = false;
      this.powerRail(true);
      this.heedSenses();
    } else if (on) {
      // A processor that hung starts anew.
      this.failure = null;
      this.powerRail(true);
      this.restart('power');
    } else this.powerDown();
  }

  private powerDown(): void {
    const { holdUp = 0 } = this.lamp.supply;
    if (holdUp > 0 && this.running) {
      this.holdUp(holdUp);
      return;
    }
    this.lose();
    const { drive, lasts } = this.model.supply.lastGasp;
    if (!(lasts > 0)) {
      this.powerRail(false);
      return;
    }
    for (const { line } of this.outputs) line.write(this.at, drive * (line.span?.full ?? 0));
    this.schedule(this.at + lasts, () => {
      if (!this.supplied) this.cutOff();
    });
  }

  /** The light goes at once; the processor is told, and has some time left. */
  private holdUp(seconds: number): void {
    const number = this.starts;
    this.isHeldUp = true;
    this.powerRail(false);
    this.interrupt({ kind: 'input', input: { link: 'supply', event: 'fail' } });
    this.schedule(this.at + seconds, () => {
      if (this.isHeldUp && number === this.starts) this.lose();
    });
  }

  /** The processor has no power any more. */
  private lose(): void {
    this.isHeldUp = false;
    this.stop();
    this.memory.cut();
  }

  private cutOff(): void {
    for (const { line } of this.outputs) line.write(this.at, 0);
    this.powerRail(false);
  }

  private powerRail(on: boolean): void {
    this.state.powered = on;
    this.state.step(this.at, true);
    this.wakeSlow();
  }

  /**
   * Brings the lamp to instant `to`. Rejects with LampFailure once the firmware has broken down, and with a cancelled BenchError where
   * the way there would take for ever.
   */
  async runUntil(to: number): Promise<void> {
    const from = this.at;
    let steps = 0;
    while (this.stepOnce(to)) {
      if (++steps % stepsPerTurn !== 0) continue;
      if (steps >= stepsToTell && ((to - from) * steps) / (this.at - from) > mostSteps)
        throw neverIdle(to - from);
      await new Promise((resolve) => setImmediate(resolve));
    }
    this.at = Math.max(this.at, to);
    if (this.failure) throw this.failure;
  }

  private stepOnce(to: number): boolean {
    const { events } = this;
    const masked = this.firmware.mainLoop?.masked ?? false;
    const served = this.processor.nextServed(this.at, masked);
    const next = Math.min(events.next, this.nextTick, this.nextSlow, served);
    if (this.failure) return false;
    if (this.work(Math.min(next, to))) return true;
    if (next > to) return false;
    this.at = Math.max(this.at, next);
    const due = events.next <= next ? events.pop() : undefined;
    if (due) this.happen(due.event);
    else if (this.nextTick <= next) this.tick();
    else if (served <= next) this.serve(this.processor.take());
    else this.slowStep();
    return true;
  }

  /** The main loop goes on up to `until`; false where it waits, or has got there. */
  private work(until: number): boolean {
    const { mainLoop } = this.firmware;
    if (!this.running || !mainLoop?.works) return false;
    const instructions = this.processor.instructionsTo(until, this.at);
    if (instructions === 0) return false;
    this.workUntil = until;
    this.guard(() => mainLoop.work(instructions));
    this.workUntil = null;
    if (mainLoop.idle && this.ticked) this.sleep();
    return true;
  }

  /** Carries out an interrupt, or keeps it until the processor can take it; one that finds its register full is lost. */
  private interrupt(interrupt: Interrupt): void {
    const { mainLoop } = this.firmware;
    const masked = mainLoop?.masked ?? false;
    if (!this.processor.holds(this.at, masked)) this.serve(interrupt);
    else if (this.processor.keep(interrupt) && masked) mainLoop?.pend();
  }

  private serve(interrupt: Interrupt | undefined): void {
    if (!interrupt) return;
    this.processor.interrupt(this.at, () => {
      if (interrupt.kind === 'tick') this.serveTick();
      else this.serveInput(interrupt.input);
    });
  }

  private happen(event: Happening): void {
    switch (event.kind) {
      case 'sync-low':
        this.sync.set(this.at, false);
        return;
      case 'action':
        event.act();
        return;
      case 'reset':
        if (this.state.powered) this.restart(event.cause);
        return;
      case 'input':
        if ('event' in event.input && event.input.event === 'bus')
          this.busPowered = event.input.powered;
        if (this.running) this.receive(event.input, event.last);
    }
  }

  private receive(input: LinkInput, last: boolean): void {
    if (last) {
      this.sync.set(this.at, true);
      this.events.push(this.at + syncPulse, { kind: 'sync-low' });
    }
    this.interrupt({ kind: 'input', input });
  }

  private serveInput(input: LinkInput): void {
    this.ticked = false;
    this.guard(() => this.firmware.receive(input));
    this.wakeTicks();
    this.onlySensing = false;
    this.wakeSlow();
  }

  private tick(): void {
    this.nextTick = this.onGrid(this.at + this.period);
    this.interrupt({ kind: 'tick' });
  }

  private serveTick(): void {
    let idle = false;
    this.wrote = false;
    try {
      idle = this.firmware.tick();
    } catch (error) {
      this.breakDown(error);
    }
    this.swing();
    // Firmware that looked and did nothing moves neither heat nor rail.
    if (!(this.onlySensing && idle && !this.wrote)) this.wakeSlow();
    this.onlySensing = false;
    this.ticked = true;
    this.wakeTicks();
    if (idle) this.sleep();
  }

  /** Nothing will change by itself: no ticks, unless the stage needs them. */
  private sleep(): void {
    if (this.model.stage.limitCycle.swing > 0 || this.watchdog.runs) return;
    this.nextTick = Number.POSITIVE_INFINITY;
    this.senses.note();
  }

  private restart(cause: RestartCause): void {
    const { boot } = this.model.processor;
    const number = ++this.starts;
    this.restartCause = cause;
    if (!(boot > 0)) {
      this.start();
      return;
    }
    this.stop();
    this.schedule(this.at + boot, () => {
      if (number === this.starts && this.state.powered) this.start();
    });
  }

  private start(): void {
    this.running = true;
    this.memory.restart();
    if (this.restartCause === 'power') this.poweredAt = this.at;
    this.watchdog.stop();
    this.processorAt = 0;
    this.ticked = false;
    this.processor.restart(this.at);
    this.startedAt = this.at;
    for (const { line } of this.outputs) line.write(this.at, 0);
    this.busy.set(this.at, false);
    this.processor.interrupt(this.at, () => this.guard(() => this.firmware.start(this.hardware())));
    // A bus without power is a level at its pin, there when the firmware starts.
    if (!this.busPowered)
      this.interrupt({ kind: 'input', input: { link: 'dali', event: 'bus', powered: false } });
    this.nextTick = this.at + this.period;
    this.wakeSlow();
  }

  private stop(): void {
    this.running = false;
    this.watchdog.stop();
    this.processor.restart(this.at);
    this.nextTick = Number.POSITIVE_INFINITY;
    this.busy.set(this.at, false);
    for (const { line } of this.outputs) line.write(this.at, 0);
  }

  /** First tick at or after `at`; ticks lie on a grid from the start of the firmware. */
  private onGrid(at: number): number {
    const number = Math.ceil((at - this.startedAt) / this.period - 1e-6);
    return this.startedAt + Math.max(1, number) * this.period;
  }

  private wakeTicks(): void {
    if (this.nextTick === Number.POSITIVE_INFINITY) this.nextTick = this.onGrid(this.at + 1e-9);
  }

  /** Idle firmware has its tick when something that it can read has changed. */
  private heedSenses(): void {
    if (!this.running || this.nextTick < Number.POSITIVE_INFINITY) return;
    if (!this.senses.changed()) return;
    this.wakeTicks();
    this.onlySensing = true;
  }

  private slowStep(): void {
    this.state.step(this.at);
    const ticking = this.nextTick < Number.POSITIVE_INFINITY;
    this.slowness = ticking ? 1 : Math.min(longestSlow, 2 * this.slowness);
    this.nextSlow = this.state.atRest
      ? Number.POSITIVE_INFINITY
      : this.at + slowPeriod * this.slowness;
    this.watchRail();
    this.heedSenses();
  }

  private wakeSlow(): void {
    this.nextSlow = Math.min(this.nextSlow, this.at + slowPeriod);
  }

  /** Below the brown-out threshold the lamp goes dark, and its processor starts anew a while later. */
  private watchRail(): void {
    if (!this.running || this.isHeldUp || this.state.present.rail >= this.model.supply.brownOut)
      return;
    this.stop();
    this.wakeSlow();
    this.events.push(this.at + resetHold, { kind: 'reset', cause: 'brown-out' });
  }

  /** Limit cycle of the current loop, as if the register swung (see StageTraits.limitCycle). */
  private swing(): void {
    const { below, swing, frequency } = this.model.stage.limitCycle;
    if (swing === 0) return;
    const up = Math.floor(2 * frequency * this.at) % 2 === 0 ? 1 + swing : 1 - swing;
    for (const output of this.outputs) output.swing(this.at, below, up);
  }

  /** The lamp's hardware as the firmware sees it. Channels are numbered as the board's wiring has them. */
  private hardware(): LampHardware {
    const { lamp, state } = this;
    const { rate } = this.model.processor;
    return {
      ...this.board(),
      channels: lamp.channels.length,
      tickPeriod: this.tickPeriod,
      now: () => (this.processor.reached(this.at) - this.poweredAt) * rate,
      setModulator: (channel, asked) => {
        this.wrote = true;
        this.output(channel)?.setUp(this.at, asked, channel);
      },
      setDrive: (channel, value) => {
        this.wrote = true;
        this.output(channel)?.write(this.at, value, channel);
      },
      setPeakCurrent: (channel, amps) => this.setStage(channel, 'peak', amps),
      setOffTime: (channel, seconds) => this.setStage(channel, 'offTime', seconds),
      sendByte: (link, byte) => {
        for (const listener of this.listeners) listener(link, byte & 0xff, this.at);
      },
      supplyVoltage: () => state.present.source,
      supplyPower: () => state.watts,
      suppliedEnergy: () => state.joulesAt(this.at),
      temperature: () => state.sensedTemperature,
      convert: (input) => this.onConvert(input, this.at),
      setBusy: (high) => this.busy.set(this.busyAt(), high),
      charge: (instructions) => this.charge(instructions),
      memory: this.memory.seen,
      memoryBusy: () => this.memory.busy,
      log: (text) => this.onLogged(this.at, text),
      probe: (name, unit, value) => this.onProbed(this.at, name, unit, value),
      wroteMemory: (address) => this.noteWrite(address),
    };
  }

  private board(): Board {
    return {
      timerStart: this.lamp.processor?.timerStart ?? 0,
      restartCause: () => this.restartCause,
      restarts: () => {
        this.restartCause = 'firmware';
        this.watchdog.stop();
        this.memory.restart();
      },
      kickWatchdog: () => this.watchdog.kick(),
    };
  }

  private charge(instructions: number): void {
    const { processor } = this;
    if (processor.preemptive) {
      processor.charge(instructions);
      if (this.workUntil !== null) this.at = Math.max(this.at, processor.mainAt(this.workUntil));
      return;
    }
    const { speed = Number.POSITIVE_INFINITY } = this.lamp.processor ?? {};
    const took = instructions / speed;
    this.processorAt = Math.max(this.at, this.processorAt) + took;
  }

  private busyAt(): number {
    if (this.processor.preemptive) return this.processor.reached(this.at);
    return Math.max(this.at, this.processorAt);
  }

  private noteWrite(address?: number): void {
    if (!this.memory.isIdeal) {
      this.memory.wrote(address);
      return;
    }
    if (this.writing.high) return;
    this.writing.set(this.at, true);
    this.schedule(this.at + writeTime, () => this.writing.set(this.at, false));
  }

  private output(channel: number): Output | undefined {
    return this.outputs[this.model.modulator.output(channel)];
  }

  private setStage(channel: number, what: keyof StageSetting, value: number): void {
    const setting = this.output(channel)?.setting;
    if (!setting || setting[what] === value || !Number.isFinite(value)) return;
    setting[what] = value;
    this.wrote = true;
    this.state.step(this.at, true);
  }

  private guard(act: () => void): void {
    try {
      act();
    } catch (error) {
      this.breakDown(error);
    }
  }

  private breakDown(error: unknown): void {
    const text = error instanceof Error ? error.message : String(error);
    this.failure = new LampFailure(text, this.at, { cause: error });
  }
}
