import type { Lamp } from '../../harness/bench/lamp.ts';
import type { LinkInput } from './firmware/firmware.ts';

/** What calls the firmware. */
export type Interrupt =
  | { readonly kind: 'tick' }
  | { readonly kind: 'input'; readonly input: LinkInput };

/** Most instructions of a piece of work: the counter of a build has 31 bits to either side. */
const mostInstructions = 2 ** 30;

/**
 * The processor of a lamp whose file says that interrupts preempt: when its work is done, and which interrupts wait meanwhile. Nothing
 * takes time, and nothing waits, where the file does not say so.
 */
export class Processor {
  readonly preemptive: boolean;
  private readonly speed: number;
  /** Instants up to which all work reaches, and that of interrupts, s. */
  private workedTo = 0;
  private interruptTo = 0;
  private interruptFrom: number | null = null;
  private waiting: Interrupt[] = [];

  constructor({ processor }: Pick<Lamp, 'processor'>) {
    this.preemptive = processor?.preemptive ?? false;
    this.speed = processor?.speed ?? Number.POSITIVE_INFINITY;
  }

  /** It starts at `at`: whatever waited is gone. */
  restart(at: number): void {
    this.workedTo = at;
    this.interruptTo = at;
    this.interruptFrom = null;
    this.waiting = [];
  }

  /** So many instructions have been carried out. */
  charge(instructions: number): void {
    this.workedTo += instructions / this.speed;
  }

  /** Where it has got to, s: in an interrupt since `at`, or in the main loop. */
  reached(at: number): number {
    return this.interruptFrom === null ? at : at + (this.workedTo - this.interruptFrom);
  }

  /** Where the main loop has got to by `until`, which it may pass by an instruction or so; s. */
  mainAt(until: number): number {
    return Math.min(until, this.workedTo);
  }

  /** Instructions from where the main loop is, at `at` or later, to `until`; 0 where there is no time left. */
  instructionsTo(until: number, at: number): number {
    this.workedTo = Math.max(this.workedTo, at);
    if (this.workedTo >= until) return 0;
    return Math.min(mostInstructions, Math.max(1, Math.ceil((until - this.workedTo) * this.speed)));
  }

  /** An interrupt is carried out at `at`. */
  interrupt(at: number, act: () => void): void {
    this.workedTo = Math.max(this.workedTo, at);
    this.interruptFrom = this.workedTo;
    act();
    this.interruptTo = this.reached(at);
    this.interruptFrom = null;
  }

  /** Whether one that comes at `at` has to wait. */
  holds(at: number, masked: boolean): boolean {
    return this.preemptive && (masked || at < this.interruptTo || this.waiting.length > 0);
  }

  /**
   * Keeps one until it can be served. False where it is lost: a tick, a break or a register that holds one byte, frame or datagram is
   * taken by one that waits already.
   */
  keep(interrupt: Interrupt): boolean {
    if (this.waiting.some((other) => sameRegister(other, interrupt))) return false;
    if (interrupt.kind === 'tick') this.waiting.unshift(interrupt);
    else this.waiting.push(interrupt);
    return true;
  }

  /** When the first that waits can be served, not before `at`, s; never where none does. */
  nextServed(at: number, masked: boolean): number {
    if (this.waiting.length === 0 || masked) return Number.POSITIVE_INFINITY;
    return Math.max(at, this.interruptTo);
  }

  /** The first that waits, which waits no longer. The tick comes before the links, whose order is that of their coming. */
  take(): Interrupt | undefined {
    return this.waiting.shift();
  }
}

function sameRegister(one: Interrupt, other: Interrupt): boolean {
  if (one.kind === 'tick' || other.kind === 'tick') return one.kind === other.kind;
  const [a, b] = [one.input, other.input];
  // Supply of the bus, and loss of sources, are levels: every change is seen.
  if (('event' in a && a.event !== 'byte' && a.event !== 'break') || a.link !== b.link)
    return false;
  const eventOf = (input: LinkInput): string => ('event' in input ? input.event : 'data');
  return eventOf(a) === eventOf(b);
}
