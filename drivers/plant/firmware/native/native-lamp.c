/*
 * native-lamp.c: the lamp's side of lamp-port.h for a build that runs on your own machine, for a debugger and for sanitisers.
 *
 *   evenfall replay RUN --claim CLAIM --firmware build/lamp.wasm --transcript fade.transcript
 *   build/lamp-native fade.transcript            what the firmware told the lamp has to be the same: exit code 0
 *   build/lamp-native fade.transcript --trace    prints what it tells the lamp, and compares nothing
 *
 * A transcript says what came to the firmware, and when (lines that begin with the time), what it read (lines that begin with ?), and what
 * it told the lamp (lines that begin with >). Every start of the firmware is a start of this program: static variables are as the compiler set
 * them. Interrupts run in lamp_wait_for_interrupt(), as they do in the simulated lamp. Needs Linux.
 */
#define _GNU_SOURCE
#include "lamp-port.h"
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* Bytes of a datagram, and of a line that holds one. */
#define DATAGRAM 2048
#define LINE (2 * DATAGRAM + 256)
#define MEMORY 256

typedef enum { SUPPLY_MV, SUPPLY_MW, SUPPLIED_MJ, TEMPERATURE_MC, RESTART_CAUSE, MEMORY_BUSY, READINGS } reading_t;
static const char *const reading_names[READINGS] = {"supply-mV", "supply-mW", "supplied-mJ", "temperature-mC",
                                                   "restart-cause", "memory-busy"};

static const char *program, *file_name;
static FILE *file;
static bool tracing;
static long line_number;
static char line[LINE];
/* Where the line begins in the file; whether it is still to be used. */
static long line_offset;
static bool line_is_next;

static uint32_t channels, tick_us, now_us;
static uint8_t memory[MEMORY];
static uint8_t datagram[DATAGRAM];
static uint32_t datagram_length;
static int64_t readings[READINGS];

/* ---- the transcript --------------------------------------------------------------------------------------- */

static void give_up(const char *expected)
{
  fprintf(stderr, "%s:%ld: expected %s, found \"%s\"\n", file_name, line_number, expected, line);
  exit(65);
}

/* Whether there is another line, which is then in `line`, without its end. */
static bool peek(void)
{
  if (line_is_next) return true;
  line_offset = ftell(file);
  if (!fgets(line, sizeof line, file)) return false;
  line_number++;
  line[strcspn(line, "\n")] = 0;
  return line_is_next = true;
}

static void consume(void) { line_is_next = false; }

static uint8_t hex_byte(const char *digits)
{
  char two[3] = {digits[0], digits[1], 0};
  return (uint8_t)strtoul(two, NULL, 16);
}

/* What memory holds at a start of the firmware: a power cut may have lost something. */
static bool take_cells(void)
{
  static const char name[] = "? memory-cells ";
  size_t length = sizeof name - 1;
  if (strncmp(line, name, length) != 0 || strlen(line) != length + 2 * MEMORY) return false;
  for (int k = 0; k < MEMORY; k++) memory[k] = hex_byte(line + length + 2 * k);
  consume();
  return true;
}

/* What was read comes into force; false where the next line says nothing of it. */
static bool take_reading(void)
{
  if (!peek() || line[0] != '?') return false;
  if (take_cells()) return true;
  if (strncmp(line, "? adc ", 6) == 0) return false;
  for (int what = 0; what < READINGS; what++) {
    size_t length = strlen(reading_names[what]);
    if (strncmp(line + 2, reading_names[what], length) != 0 || line[2 + length] != ' ') continue;
    readings[what] = strtoll(line + 3 + length, NULL, 10);
    consume();
    return true;
  }
  give_up("a reading that is known");
  return false;
}

/* One that this build has not asked for. */
static bool skip_conversion(void)
{
  if (!peek() || strncmp(line, "? adc ", 6) != 0) return false;
  consume();
  return true;
}

static void end(void)
{
  fflush(stdout);
  if (!tracing) fprintf(stderr, "%s: the native build told the lamp the same, to the end\n", file_name);
  exit(0);
}

static void differ(const char *told)
{
  fflush(stdout);
  fprintf(stderr, "%s:%ld: at %" PRIu32 " us the build of the run told \"%s\", the native build \"%s\"\n", file_name, line_number,
          now_us, line_is_next && line[0] == '>' ? line + 2 : "nothing more", told);
  exit(1);
}

/* What the firmware tells the lamp, in a line of the transcript. */
static void tell(const char *told)
{
  while (take_reading() || skip_conversion());
  bool was_told = peek() && line[0] == '>';
  if (tracing) printf("> %s\n", told);
  else if (!was_told || strcmp(line + 2, told) != 0) differ(told);
  if (was_told) consume();
}

#define TELL(...)                                                                                                        \
  do {                                                                                                                   \
    char told[LINE];                                                                                                     \
    snprintf(told, sizeof told, __VA_ARGS__);                                                                            \
    tell(told);                                                                                                          \
  } while (0)

/* A text in one line: what is not printable ASCII, and the space where `words`, as \xNN. */
static void escape(const char *text, bool words, char *to, size_t size)
{
  size_t at = 0;
  for (; *text && at + 5 < size; text++) {
    unsigned char byte = (unsigned char)*text;
    bool plain = byte > (words ? 0x20 : 0x1f) && byte < 0x7f && byte != '\\';
    at += (size_t)snprintf(to + at, size - at, plain ? "%c" : "\\x%02x", byte);
  }
  to[at] = 0;
}

/* ---- starts of the firmware ------------------------------------------------------------------------------- */

/* This program anew, from where the transcript is, with what outlasts a reset. */
static void start_anew(void)
{
  char from[32], number[32], now[32], digits[2 * MEMORY + 1], read[READINGS * 24] = "";
  bool is_next = peek();
  snprintf(from, sizeof from, "%ld", line_offset);
  snprintf(number, sizeof number, "%ld", line_number - is_next);
  snprintf(now, sizeof now, "%" PRIu32, now_us);
  for (int k = 0; k < MEMORY; k++) snprintf(digits + 2 * k, 3, "%02x", memory[k]);
  for (int k = 0; k < READINGS; k++)
    snprintf(read + strlen(read), sizeof read - strlen(read), "%" PRId64 " ", readings[k]);
  fflush(stdout);
  execl("/proc/self/exe", program, file_name, tracing ? "--trace" : "--compare", from, number, now, digits, read,
        (char *)NULL);
  perror("cannot start anew");
  exit(70);
}

static void resume(char **how)
{
  fseek(file, strtol(how[0], NULL, 10), SEEK_SET);
  consume();
  line_number = strtol(how[1], NULL, 10);
  now_us = (uint32_t)strtoul(how[2], NULL, 10);
  for (int k = 0; k < MEMORY; k++) memory[k] = hex_byte(how[3] + 2 * k);
  char *at = how[4];
  for (int k = 0; k < READINGS; k++) readings[k] = strtoll(at, &at, 10);
}

static void bring_up(void)
{
  while (take_reading());
  if (lamp_init) lamp_init();
  if (lamp_main) lamp_main();
}

/* ---- what comes to the firmware --------------------------------------------------------------------------- */

static uint32_t number_at(char **at) { return (uint32_t)strtoul(*at, at, 10); }

static void take_datagram(char *at)
{
  datagram_length = number_at(&at);
  if (datagram_length > DATAGRAM) give_up("a datagram of at most 2048 bytes");
  for (uint32_t k = 0; k < datagram_length; k++) datagram[k] = hex_byte(at + 1 + 2 * k);
  if (lamp_receive_datagram) lamp_receive_datagram(datagram_length);
}

/* Calls what the line names. */
static void call(char *name)
{
  char *at = name + strcspn(name, " ");
  size_t length = (size_t)(at - name);
#define IS(entry) (length == sizeof #entry - 1 && strncmp(name, #entry, length) == 0)
  if (IS(lamp_tick)) {
    if (lamp_tick) lamp_tick();
  } else if (IS(lamp_receive_console)) {
    if (lamp_receive_console) lamp_receive_console((uint8_t)number_at(&at));
  } else if (IS(lamp_receive_dali)) {
    uint32_t frame = number_at(&at);
    uint32_t bits = number_at(&at);
    if (lamp_receive_dali) lamp_receive_dali(frame, bits);
  } else if (IS(lamp_dali_bus)) {
    if (lamp_dali_bus) lamp_dali_bus(number_at(&at) != 0);
  } else if (IS(lamp_receive_dmx_break)) {
    if (lamp_receive_dmx_break) lamp_receive_dmx_break();
  } else if (IS(lamp_receive_dmx)) {
    if (lamp_receive_dmx) lamp_receive_dmx((uint8_t)number_at(&at));
  } else if (IS(lamp_dmx_lost)) {
    if (lamp_dmx_lost) lamp_dmx_lost();
  } else if (IS(lamp_receive_datagram)) {
    take_datagram(at);
  } else if (IS(lamp_init)) {
    start_anew();
  } else {
    give_up("a function of lamp-port.h");
  }
#undef IS
}

/* The next call; ends the program behind the last one. */
static void next_call(void)
{
  char own[LINE];
  while (take_reading() || skip_conversion() || (tracing && peek() && line[0] == '>')) consume();
  if (!peek()) end();
  if (line[0] == '>') differ("nothing more");
  char *name = line;
  now_us = number_at(&name);
  if (*name != ' ') give_up("a time and a function of lamp-port.h");
  if (tracing) printf("%s\n", line);
  memcpy(own, name + 1, strlen(name + 1) + 1);
  consume();
  call(own);
}

/* The first lines, up to the first start of the firmware. */
static void read_head(void)
{
  if (!peek() || strcmp(line, "evenfall-transcript 1") != 0) give_up("evenfall-transcript 1");
  for (consume(); peek(); consume()) {
    char *at = line + strcspn(line, " ");
    if (strncmp(line, "channels ", 9) == 0) channels = number_at(&at);
    else if (strncmp(line, "tick-us ", 8) == 0) tick_us = number_at(&at);
    else break;
  }
}

/* Up to the first start of the firmware. */
static void begin(void)
{
  char *name = line;
  now_us = peek() ? number_at(&name) : 0;
  if (strcmp(name, " lamp_init") != 0) give_up("the first call of lamp_init");
  if (tracing) printf("%s\n", line);
  consume();
}

int main(int count, char **arguments)
{
  if (count < 2) {
    fprintf(stderr, "expected a transcript: %s FILE [--trace] (evenfall replay --transcript FILE writes one)\n", arguments[0]);
    return 64;
  }
  program = arguments[0];
  file_name = arguments[1];
  tracing = count > 2 && strcmp(arguments[2], "--trace") == 0;
  file = fopen(file_name, "r");
  if (!file) {
    perror(file_name);
    return 66;
  }
  read_head();
  if (count == 8) resume(arguments + 3);
  else begin();
  bring_up();
  for (;;) next_call();
}

/* ---- what the firmware calls ------------------------------------------------------------------------------ */

uint32_t lamp_channels(void) { return channels; }
uint32_t lamp_tick_us(void) { return tick_us; }
uint32_t lamp_time_us(void) { return now_us; }

void lamp_set_pulse_density(uint32_t channel, uint32_t bits, uint32_t clock_hz)
{
  if (channel < channels) TELL("pulse-density %" PRIu32 " %" PRIu32 " %" PRIu32, channel, bits, clock_hz);
}
void lamp_set_pwm(uint32_t channel, uint32_t bits, uint32_t frequency_hz, uint32_t phase)
{
  if (channel < channels)
    TELL("pwm %" PRIu32 " %" PRIu32 " %" PRIu32 " %" PRIu32, channel, bits, frequency_hz, phase & 0xffff);
}
void lamp_set_analogue(uint32_t channel, uint32_t bits)
{
  if (channel < channels) TELL("analogue %" PRIu32 " %" PRIu32, channel, bits);
}
void lamp_set_drive(uint32_t channel, uint32_t value)
{
  if (channel < channels) TELL("drive %" PRIu32 " %" PRIu32, channel, value);
}
void lamp_set_peak_current(uint32_t channel, uint32_t microamps)
{
  if (channel < channels) TELL("peak-current-uA %" PRIu32 " %" PRIu32, channel, microamps);
}
void lamp_set_off_time(uint32_t channel, uint32_t nanoseconds)
{
  if (channel < channels) TELL("off-time-ns %" PRIu32 " %" PRIu32, channel, nanoseconds);
}
void lamp_send_byte(uint32_t link, uint32_t byte)
{
  static const char *const links[] = {"console", "dali", "dmx"};
  TELL("byte %s %" PRIu32, links[link < 3 ? link : 0], byte & 0xff);
}
void lamp_set_busy(bool high) { TELL("busy %d", high); }

/* Changes stand in the transcript where they were read. */
static int64_t reading(reading_t what)
{
  while (take_reading());
  return readings[what];
}
uint32_t lamp_supply_millivolts(void) { return (uint32_t)reading(SUPPLY_MV); }
uint32_t lamp_supply_milliwatts(void) { return (uint32_t)reading(SUPPLY_MW); }
uint32_t lamp_supplied_millijoules(void) { return (uint32_t)reading(SUPPLIED_MJ); }
int32_t lamp_temperature_millicelsius(void) { return (int32_t)reading(TEMPERATURE_MC); }

/* Each conversion has a line of its own. */
uint32_t lamp_adc_read(uint32_t input)
{
  static uint32_t codes[256];
  while (take_reading());
  char *at = line + 6;
  if (!peek() || strncmp(line, "? adc ", 6) != 0) return codes[input & 0xff];
  if (number_at(&at) != input) return codes[input & 0xff];
  consume();
  return codes[input & 0xff] = number_at(&at);
}
uint32_t lamp_restart_cause(void) { return (uint32_t)reading(RESTART_CAUSE); }

bool lamp_memory_busy(void) { return reading(MEMORY_BUSY) != 0; }
uint32_t lamp_memory_read(uint32_t address) { return memory[address & 0xff]; }
void lamp_memory_write(uint32_t address, uint32_t value)
{
  memory[address & 0xff] = (uint8_t)value;
  TELL("memory %" PRIu32 " %" PRIu32, address & 0xff, value & 0xff);
}
uint32_t lamp_datagram_byte(uint32_t index) { return index < datagram_length ? datagram[index] : 0; }

void lamp_log(const char *text)
{
  char plain[LINE / 2];
  escape(text, false, plain, sizeof plain);
  TELL("log %s", plain);
}
void lamp_probe(const char *name, const char *unit, double value)
{
  char plain[2][256];
  uint64_t bits;
  memcpy(&bits, &value, sizeof bits);
  escape(name, true, plain[0], sizeof plain[0]);
  escape(unit, true, plain[1], sizeof plain[1]);
  TELL("probe %s %s %016" PRIx64, plain[0], plain[1], bits);
}

void lamp_restart(void)
{
  for (uint32_t channel = 0; channel < channels; channel++) TELL("drive %" PRIu32 " 0", channel);
  start_anew();
}
/* A restart by the watchdog is in the transcript. */
void lamp_kick_watchdog(void) {}
/* Interrupts come in the wait alone. */
void lamp_enable_interrupts(bool enabled) { (void)enabled; }
void lamp_wait_for_interrupt(bool idle)
{
  (void)idle;
  next_call();
}
