/*
 * lamp-port.h: the wall between your firmware and Evenfall's simulated lamp.
 *
 * Compile your application against this header instead of your board's drivers, for example
 *
 *   clang --target=wasm32 -nostdlib -ffreestanding -O2 -Wl,--no-entry -Wl,--stack-first \
 *         -Wl,-z,stack-size=16384 -o build/lamp.wasm application.c lamp_port.c
 *
 * and run it with `evenfall run --firmware build/lamp.wasm`. You write what is marked LAMP_EXPORT; the simulated lamp
 * provides what is marked LAMP_IMPORT. Units are in the names. Only lamp_wait_for_interrupt() blocks.
 *
 * There are two ways to be driven; your exports tell the lamp which one you use:
 *
 *   by ticks      lamp_init() and lamp_tick(). The lamp calls lamp_tick() at the control rate and the lamp_receive_...
 *                 functions between ticks, like interrupts that never nest.
 *   main loop     lamp_main(), which never returns and calls lamp_wait_for_interrupt() when it has nothing to do. The
 *                 interrupts are lamp_tick() and the lamp_receive_... functions; they run inside the wait, like
 *                 interrupts that wake a sleeping core. So that the main loop can be left in its wait, the build is
 *                 rewritten when it is loaded; this works with plain C at any optimisation and up to 1 MiB of code, not
 *                 with exceptions or tail calls. The functions from lamp_main() to the wait may hold 32 KiB of variables between them.
 *
 * Calls take no time, and interrupts come only inside the wait, unless the lamp file says "processor: { speed: 20 MHz, preemptive:
 * true }". Then every instruction of WebAssembly takes its time. Interrupts preempt lamp_main() wherever it is: between two
 * accesses to memory (one of 64 bit is two), at a call and at the head of a loop. They do not nest: one that comes during another,
 * or while lamp_enable_interrupts(false) holds, waits. One tick waits, one DALI frame, one datagram, one DMX512 break, and one byte of each link, as
 * in a receive register; what comes beyond that is lost. Light and answers of lamp_main() come when the processor gets there, those of an
 * interrupt at its beginning.
 *
 * Every reset, and every return of power, starts a fresh copy of the program: static variables are as the compiler
 * set them. Only the 256 bytes of lamp_memory_... survive. A trap (stack overflow, integer division by zero, unreachable), more
 * than 16 MiB of memory, or more than a second of wall clock in one call counts as a failure of the lamp and ends the
 * condition. Reading through a null pointer does not trap in WebAssembly: catch that with your compiler's sanitisers.
 */
#ifndef LAMP_PORT_H
#define LAMP_PORT_H

#include <stdbool.h>
#include <stdint.h>

#ifdef __wasm__
#define LAMP_EXPORT(name) __attribute__((used, visibility("default"), export_name(#name)))
#define LAMP_IMPORT(name) __attribute__((import_module("env"), import_name(#name)))
#else
/* A build for your own machine, for a debugger or sanitisers: native-lamp.c is the lamp's side of it. */
#define LAMP_EXPORT(name) __attribute__((weak))
#define LAMP_IMPORT(name)
#endif

/* ---- you write these -------------------------------------------------------------------------------------- */

/* After power-up and after every reset, before anything else. Set up the modulators here. */
LAMP_EXPORT(lamp_init) void lamp_init(void);

/*
 * The control tick, every lamp_tick_us(). Return true when nothing will change until the next byte arrives or one of
 * lamp_supply_millivolts(), lamp_supply_milliwatts() and lamp_temperature_millicelsius() changes: the lamp may then skip
 * ticks until that happens, which makes long holds fast. (Heat and power are looked at every 10 to 160 ms, a change of the
 * supply at once.) Time alone wakes nobody. Return false when in doubt.
 */
LAMP_EXPORT(lamp_tick) bool lamp_tick(void);

/* Never returns. Only for firmware with a main loop of its own; see above. */
LAMP_EXPORT(lamp_main) void lamp_main(void);

/* One byte from the console. Leave out the functions of links that your lamp does not have. */
LAMP_EXPORT(lamp_receive_console) void lamp_receive_console(uint8_t byte);

/* One whole DALI forward frame, `bits` 16 or 24, right aligned; lamp_time_us() is the end of its stop condition. */
LAMP_EXPORT(lamp_receive_dali) void lamp_receive_dali(uint32_t frame, uint32_t bits);

/* The DALI bus lost its power (false), or power has returned (true). */
LAMP_EXPORT(lamp_dali_bus) void lamp_dali_bus(bool powered);

/* The break that begins a DMX512 frame; then its start code and slots, byte by byte. */
LAMP_EXPORT(lamp_receive_dmx_break) void lamp_receive_dmx_break(void);
LAMP_EXPORT(lamp_receive_dmx) void lamp_receive_dmx(uint8_t byte);

/* The network interface in front of the lamp (sACN) has lost its last source. Its slots arrive as DMX512 frames. */
LAMP_EXPORT(lamp_dmx_lost) void lamp_dmx_lost(void);

/*
 * One datagram that has come to the lamp's sACN port (UDP 5568: data, synchronisation, universe discovery, or anything else), `length`
 * bytes long. Firmware that exports this does the sACN protocol by itself: sequence, priority, preview, synchronisation and the
 * loss of its sources are its own, and neither slots nor lamp_dmx_lost() come of sACN. Without it they are done by the network
 * interface in front of the lamp, and claims about them are not run: they would prove nothing of your firmware.
 */
LAMP_EXPORT(lamp_receive_datagram) void lamp_receive_datagram(uint32_t length);

/*
 * A byte on LAMP_CONSOLE or LAMP_DMX whose stop bit was not there: the clocks of sender and lamp are too far apart (faults console-baud-off and
 * dmx-baud-off). It comes instead of lamp_receive_console() or lamp_receive_dmx(); without this function it is lost. A break of DMX512 is told as
 * such.
 */
LAMP_EXPORT(lamp_framing_error) void lamp_framing_error(uint32_t link, uint32_t byte);

/*
 * The supply is gone. What runs on is the processor, for the hold-up time of the lamp file ("supply: { …, hold-up: 20 ms }"); the light is out
 * already. Without it the processor stops with the supply, and this is never called. When the supply returns in time, everything goes on.
 */
LAMP_EXPORT(lamp_power_fail) void lamp_power_fail(void);

/* ---- the lamp provides these ------------------------------------------------------------------------------ */

LAMP_IMPORT(lamp_channels) uint32_t lamp_channels(void);

/* Period of the control tick: 1000, or what the lamp file's processor says ("tick: 250 µs"). */
LAMP_IMPORT(lamp_tick_us) uint32_t lamp_tick_us(void);

/*
 * Time since power-up, or rather since the first start of the program after it; goes on over a reset, wraps after 71.6 minutes like a 32
 * bit timer. "timer-start: 71.5 min" in the lamp file's processor lets it begin there, so that it wraps soon: then only
 * lamp_restart_cause() tells power-up from a reset.
 */
LAMP_IMPORT(lamp_time_us) uint32_t lamp_time_us(void);

/* First-order modulator: an accumulator of `bits` that adds the drive at every clock; its carry is the output. */
LAMP_IMPORT(lamp_set_pulse_density) void lamp_set_pulse_density(uint32_t channel, uint32_t bits, uint32_t clock_hz);

/* Counter of `bits` that runs through 2^bits steps in each period; `phase` in 1/65536 of a period. */
LAMP_IMPORT(lamp_set_pwm) void lamp_set_pwm(uint32_t channel, uint32_t bits, uint32_t frequency_hz, uint32_t phase);

/* No modulation: a converter of `bits` sets the current. */
LAMP_IMPORT(lamp_set_analogue) void lamp_set_analogue(uint32_t channel, uint32_t bits);

/* Density, compare value or code, 0..2^bits; 2^bits is fully on. Holds until the next call. 0 after a reset. */
LAMP_IMPORT(lamp_set_drive) void lamp_set_drive(uint32_t channel, uint32_t value);

/* Threshold of the peak-current comparator; with a linear sink, the current while on. */
LAMP_IMPORT(lamp_set_peak_current) void lamp_set_peak_current(uint32_t channel, uint32_t microamps);

/* Fixed off-time of a peak-current controlled stage. */
LAMP_IMPORT(lamp_set_off_time) void lamp_set_off_time(uint32_t channel, uint32_t nanoseconds);

/* A byte to the console, a backward frame to the DALI bus, or a byte of an answer to RDM on the DMX512 line. */
enum { LAMP_CONSOLE = 0, LAMP_DALI = 1, LAMP_DMX = 2 };
LAMP_IMPORT(lamp_send_byte) void lamp_send_byte(uint32_t link, uint32_t byte);

LAMP_IMPORT(lamp_supply_millivolts) uint32_t lamp_supply_millivolts(void);

/* The meter in the input stage: power, and energy since some instant, which wraps like a 32 bit counter. */
LAMP_IMPORT(lamp_supply_milliwatts) uint32_t lamp_supply_milliwatts(void);
LAMP_IMPORT(lamp_supplied_millijoules) uint32_t lamp_supplied_millijoules(void);

/* At the LED board: -55 °C where the thermometer is broken (fault sensor-open), 160 °C where it is shorted (sensor-shorted). */
LAMP_IMPORT(lamp_temperature_millicelsius) int32_t lamp_temperature_millicelsius(void);

/*
 * Code of an analogue input, 0..2^bits - 1: 12 bits, without noise, unless the lamp file says so ("adc: { bits: 10, noise: 1.5, sampling: mid-pulse
 * }"; noise is a standard deviation in steps).
 *   temperature    a thermistor (10 kΩ at 25 °C, B 3950 K) below 10 kΩ, over the voltage that feeds both: 0 where it is shorted, highest where it is open
 *   supply         full scale is 1.5 times the highest supply of the lamp file
 *   current + n    of channel n, mean of the microsecond before the sample; full scale is twice the channel's current in the lamp file.
 *                  It is sampled at the call, wherever in its pulses the modulator is, or, mid-pulse, in the middle of the last PWM pulse.
 * Other inputs are 0.
 */
enum { LAMP_ADC_TEMPERATURE = 0, LAMP_ADC_SUPPLY = 1, LAMP_ADC_CURRENT = 16 };
LAMP_IMPORT(lamp_adc_read) uint32_t lamp_adc_read(uint32_t input);

/*
 * The busy pin; set it while your application works, and specs can watch the load. Where the lamp file states a processor
 * ("processor: { speed: 20 MHz }", WebAssembly instructions a second), the instructions that your code carries out take
 * their time on this pin: it changes where the processor has got to, which falls behind when there is too much to do.
 * lamp_time_us() stands still within a call all the same, and so do light and answers, unless the processor is preemptive.
 */
LAMP_IMPORT(lamp_set_busy) void lamp_set_busy(bool high);

/* Non-volatile memory, addresses 0..255; 0xff when new. A pin (signal memory-write) shows every write, the same value or another. */
LAMP_IMPORT(lamp_memory_read) uint32_t lamp_memory_read(uint32_t address);
LAMP_IMPORT(lamp_memory_write) void lamp_memory_write(uint32_t address, uint32_t value);

/*
 * Whether bytes still wait to be written. With "memory: { write-time: 3 ms, endurance: 100000, written: 99990 }" in the lamp file they go from a
 * buffer into their cells one after another; lamp_memory_read() sees the buffer. A reset loses what waits, a power cut the byte under way
 * as well, which is 0xff then. A cell that has been written more often than its endurance keeps what it holds. The pin is high as long as
 * it is busy.
 */
LAMP_IMPORT(lamp_memory_busy) bool lamp_memory_busy(void);

/* A byte of the datagram that came last, 0 beyond its end. */
LAMP_IMPORT(lamp_datagram_byte) uint32_t lamp_datagram_byte(uint32_t index);

/*
 * A line of text for whoever looks for a fault: UTF-8, ended by a zero byte. It costs no time, changes nothing in the lamp, and stands
 * in the record of the condition at the instant of the call (`evenfall run --firmware-log`, and the page of the run). The first 500
 * lines of a condition are kept and the last 500, 200 bytes of each; what is dropped is counted. On your board, send it to wherever
 * your log goes, or to nowhere.
 */
LAMP_IMPORT(lamp_log) void lamp_log(const char *text);

/*
 * A variable of yours that specs may ask for (`capture: - { signal: probe, of: fade-position }`): it has `value` from now on. Call it when
 * the value changes, or as often as you like; the last value of an instant counts. `name`: lower-case letters, digits and hyphens, 32
 * at most. `unit`: as people read it, 12 bytes at most, "" for a bare number. A lamp has 16 probes, and 10,000 changes of each are kept.
 */
LAMP_IMPORT(lamp_probe) void lamp_probe(const char *name, const char *unit, double value);

/* Restarts the processor. Does not return. */
LAMP_IMPORT(lamp_restart) void lamp_restart(void);

/* Why the program started last: power came, the reset pin, the supply was too low for a while, the watchdog, or lamp_restart(). */
enum { LAMP_CAUSE_POWER = 0, LAMP_CAUSE_RESET_PIN = 1, LAMP_CAUSE_BROWN_OUT = 2, LAMP_CAUSE_WATCHDOG = 3, LAMP_CAUSE_FIRMWARE = 4 };
LAMP_IMPORT(lamp_restart_cause) uint32_t lamp_restart_cause(void);

/*
 * Kicks the hardware watchdog. The first kick after a start starts it; from then on the processor restarts when none comes for as long as the lamp
 * file's processor says ("watchdog: 100 ms"). It runs on while you are idle, so that ticks go on, too. Without it in the lamp file a kick
 * does nothing.
 */
LAMP_IMPORT(lamp_kick_watchdog) void lamp_kick_watchdog(void);

/*
 * Sleeps until an interrupt has run. `idle` means the same as what lamp_tick() returns. Only in firmware that exports
 * lamp_main(), and only from there or from functions that it calls; in an interrupt it is a failure of the lamp.
 */
LAMP_IMPORT(lamp_wait_for_interrupt) void lamp_wait_for_interrupt(bool idle);

/*
 * Keeps interrupts from preempting lamp_main(), or lets them again; those that waited then come at once. One that waits ends
 * lamp_wait_for_interrupt() all the same, so that a loop can look for work and go to sleep without missing any. In an interrupt, and where
 * the processor is not preemptive, it does nothing.
 */
LAMP_IMPORT(lamp_enable_interrupts) void lamp_enable_interrupts(bool enabled);

#endif
