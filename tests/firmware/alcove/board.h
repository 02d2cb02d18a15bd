/* Alcove-6, an invented lamp of Halden Display Lighting: what the board is. */
#ifndef BOARD_H
#define BOARD_H

#define CHANNELS 6
#define MODULATOR_BITS 16
#define MODULATOR_CLOCK_HZ 20000000u

/*
 * Comparator thresholds that give 700, 700, 500, 500, 500 and 500 mA while on: I + dI / 2 - overrun, with
 * dI = (Vled + 0.4 V) * 1 us / 220 uH and an overrun of (48 V - Vled) * 40 ns / 220 uH (computed).
 */
#define PEAK_MICROAMPS { 773182, 773182, 540782, 559927, 561400, 564345 }
#define OFF_TIME_NS 1000u

/* Light comes this long after power or reset. */
#define START_UP_MS 300u

/* Tells lamps on one bus apart; production writes it. */
#define SERIAL_NUMBER 1u

#define SHORT_ADDRESS 5
#define GROUP 2

/* Slots 1 and 2: dim level; then two for each channel, coarse first. On loss of the signal the light holds. */
#define FIRST_SLOT 1
#define SLOTS (2 * (1 + CHANNELS))

/* Of sACN. */
#define UNIVERSE 7u

#endif
