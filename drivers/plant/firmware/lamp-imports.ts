import { visibleText } from '../../../harness/files/visible-text.ts';
import { restartCauses } from './board.ts';
import type { LampHardware } from './firmware.ts';
import { pauseFunction } from './preemption-points.ts';

/** Thrown through the firmware to leave it when it asks for a restart. */
export class Restart extends Error {
  override readonly name = 'Restart';
}

/** As lamp-port.h numbers them. */
const sendingLinks = ['console', 'dali', 'dmx'] as const;

/** They are handed texts in the memory of the build. */
export const textFunctions: ReadonlySet<string> = new Set(['lamp_log', 'lamp_probe']);

/** Functions of lamp-port.h that the lamp offers. */
export const portFunctions = [
  'lamp_channels',
  'lamp_tick_us',
  'lamp_time_us',
  'lamp_set_pulse_density',
  'lamp_set_pwm',
  'lamp_set_analogue',
  'lamp_set_drive',
  'lamp_set_peak_current',
  'lamp_set_off_time',
  'lamp_send_byte',
  'lamp_supply_millivolts',
  'lamp_supply_milliwatts',
  'lamp_supplied_millijoules',
  'lamp_temperature_millicelsius',
  'lamp_set_busy',
  'lamp_memory_read',
  'lamp_memory_write',
  'lamp_datagram_byte',
  'lamp_log',
  'lamp_probe',
  'lamp_restart',
  'lamp_wait_for_interrupt',
  'lamp_enable_interrupts',
  'lamp_restart_cause',
  'lamp_kick_watchdog',
  'lamp_memory_busy',
  'lamp_adc_read',
] as const;

type Port = Record<(typeof portFunctions)[number], (...numbers: number[]) => number | undefined>;

/** What the firmware's timer shows, µs: 32 bit, unsigned. */
export function timerOf(hardware: Pick<LampHardware, 'timerStart' | 'now'>): number {
  // The least part of a microsecond lifts instants that rounding put just below a whole one.
  return Math.floor((hardware.timerStart + hardware.now()) * 1e6 + 1e-3) % 2 ** 32;
}

interface RunningProgram {
  wait(idle: boolean): void;
  enable(enabled: boolean): void;
  charge(): void;
  datagram(): Uint8Array;
  /** In its memory, up to a zero byte. */
  text(address: number): Uint8Array;
}

/**
 * The functions of lamp-port.h, on the simulated hardware. Numbers come as WebAssembly hands them over: 32 bit, signed.
 * Channels and addresses that do not exist are ignored, as an unconnected register would.
 */
export function lampImports(hardware: LampHardware, program: RunningProgram): Port {
  const onChannel = (channel: number, act: (channel: number) => void): undefined => {
    if (channel >>> 0 < hardware.channels) act(channel);
  };
  return {
    lamp_channels: () => hardware.channels,
    lamp_tick_us: () => Math.round(hardware.tickPeriod * 1e6),
    lamp_time_us: () => timerOf(hardware) | 0,
    lamp_set_pulse_density: (channel = 0, bits = 0, clock = 0) =>
      onChannel(channel, (at) =>
        hardware.setModulator(at, { kind: 'pulse-density', bits, clock: clock >>> 0 }),
      ),
    lamp_set_pwm: (channel = 0, bits = 0, frequency = 0, phase = 0) =>
      onChannel(channel, (at) =>
        hardware.setModulator(at, {
          kind: 'pwm',
          bits,
          frequency: frequency >>> 0,
          phase: (phase & 0xffff) / 65536,
        }),
      ),
    lamp_set_analogue: (channel = 0, bits = 0) =>
      onChannel(channel, (at) => hardware.setModulator(at, { kind: 'analogue', bits })),
    lamp_set_drive: (channel = 0, value = 0) =>
      onChannel(channel, (at) => hardware.setDrive(at, value >>> 0)),
    lamp_set_peak_current: (channel = 0, microamps = 0) =>
      onChannel(channel, (at) => hardware.setPeakCurrent(at, (microamps >>> 0) / 1e6)),
    lamp_set_off_time: (channel = 0, nanoseconds = 0) =>
      onChannel(channel, (at) => hardware.setOffTime(at, (nanoseconds >>> 0) / 1e9)),
    lamp_send_byte: (link = 0, byte = 0) => {
      hardware.sendByte(sendingLinks[link] ?? 'console', byte & 0xff);
      return undefined;
    },
    lamp_supply_millivolts: () => Math.round(hardware.supplyVoltage() * 1e3),
    lamp_supply_milliwatts: () => Math.round(hardware.supplyPower() * 1e3),
    lamp_supplied_millijoules: () => (Math.floor(hardware.suppliedEnergy() * 1e3) % 2 ** 32) | 0,
    lamp_adc_read: (input = 0) => hardware.convert(input >>> 0),
    lamp_temperature_millicelsius: () => Math.round(hardware.temperature() * 1e3),
    lamp_set_busy: (high) => {
      // The pin changes where the processor has got to.
      program.charge();
      hardware.setBusy(high !== 0);
      return undefined;
    },
    ...memoryImports(hardware),
    lamp_datagram_byte: (index = 0) => program.datagram()[index >>> 0] ?? 0,
    ...textImports(hardware, program),
    ...processorImports(hardware, program),
  };
}

/** The same functions, each at the instant at which the processor calls it; and the one in which a rewritten build pauses. */
export function timedImports(
  port: Port,
  { charge, pause }: { charge(): void; pause(): void },
): WebAssembly.ModuleImports {
  const timed = Object.entries(port).map(([name, call]) => {
    const atItsTime = (...numbers: number[]): number | undefined => {
      charge();
      return call(...numbers);
    };
    return [name, atItsTime] as const;
  });
  return { ...Object.fromEntries(timed), [pauseFunction]: pause };
}

function processorImports(
  hardware: LampHardware,
  program: Pick<RunningProgram, 'wait' | 'enable'>,
): Pick<
  Port,
  | 'lamp_restart'
  | 'lamp_restart_cause'
  | 'lamp_kick_watchdog'
  | 'lamp_wait_for_interrupt'
  | 'lamp_enable_interrupts'
> {
  return {
    lamp_restart: () => {
      throw new Restart('the firmware asked for a restart');
    },
    lamp_wait_for_interrupt: (idle) => {
      program.wait(idle !== 0);
      return undefined;
    },
    lamp_enable_interrupts: (enabled) => {
      program.enable(enabled !== 0);
      return undefined;
    },
    lamp_restart_cause: () => restartCauses.indexOf(hardware.restartCause()),
    lamp_kick_watchdog: () => {
      hardware.kickWatchdog();
      return undefined;
    },
  };
}

function memoryImports({
  memory,
  wroteMemory,
  memoryBusy,
}: LampHardware): Pick<Port, 'lamp_memory_read' | 'lamp_memory_write' | 'lamp_memory_busy'> {
  return {
    lamp_memory_busy: () => Number(memoryBusy()),
    lamp_memory_read: (address = 0) => memory[address & 0xff] ?? 0,
    lamp_memory_write: (address = 0, value = 0) => {
      memory[address & 0xff] = value;
      wroteMemory(address & 0xff);
      return undefined;
    },
  };
}

function textImports(
  hardware: LampHardware,
  program: Pick<RunningProgram, 'text'>,
): Pick<Port, 'lamp_log' | 'lamp_probe'> {
  return {
    lamp_log: (address = 0) => {
      hardware.log(program.text(address >>> 0));
      return undefined;
    },
    lamp_probe: (name = 0, unit = 0, value = 0) => {
      const [named, read] = [name, unit].map((text) => visibleText(program.text(text >>> 0)));
      hardware.probe(named ?? '', read ?? '', value);
      return undefined;
    },
  };
}
