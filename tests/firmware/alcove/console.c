#include "console.h"
#include "dali.h"
#include "lamp-port.h"
#include "light.h"

#define LONGEST 255
/* One part of a percentage: 0.00001 %. */
#define HUNDRED 10000000u

static char line[LONGEST + 1];
static uint32_t length;
static bool overlong;
static bool restart;

static void say(const char *text)
{
  while (*text) lamp_send_byte(LAMP_CONSOLE, (uint8_t)*text++);
  lamp_send_byte(LAMP_CONSOLE, '\r');
  lamp_send_byte(LAMP_CONSOLE, '\n');
}

static void skip_blanks(const char **at)
{
  while (**at == ' ' || **at == '\t') (*at)++;
}

/* Steps over a word that stands alone. */
static bool word(const char **at, const char *wanted)
{
  const char *next = *at;
  while (*wanted) if (*next++ != *wanted++) return false;
  if (*next && *next != ' ' && *next != '\t') return false;
  skip_blanks(&next);
  *at = next;
  return true;
}

static bool is_digit(char letter) { return letter >= '0' && letter <= '9'; }

/* A number without sign in parts of `unit`, which is a power of ten; decimals beyond it are dropped. */
static bool number(const char **at, uint64_t unit, uint64_t *value)
{
  const char *next = *at;
  uint64_t result = 0;
  if (!is_digit(*next)) return false;
  while (is_digit(*next)) {
    if (result < UINT32_MAX) result = result * 10 + (uint64_t)(*next - '0');
    next++;
  }
  result *= unit;
  if (*next == '.' && unit > 1) {
    next++;
    for (uint64_t place = unit / 10; is_digit(*next); next++, place /= 10)
      result += place * (uint64_t)(*next - '0');
  }
  if (*next && *next != ' ' && *next != '\t') return false;
  skip_blanks(&next);
  *at = next;
  *value = result;
  return true;
}

static bool percent(const char **at, uint64_t *value) { return number(at, HUNDRED / 100, value); }

static light_t light_of(uint64_t value) { return (light_t)((value * ONE + HUNDRED / 2) / HUNDRED); }

/* Reads what follows `dim` and goes there. Returns a reason for refusal, or null. */
static const char *dim(const char *at, uint64_t milliseconds)
{
  uint64_t level, value[CHANNELS + 1];
  uint32_t count = 0;
  bool inside = true;
  target_t target;
  if (!percent(&at, &level) || !word(&at, "mix")) return "unknown command";
  while (count <= CHANNELS && percent(&at, &value[count])) count++;
  if (*at || count == 0) return "unknown command";
  if (count != CHANNELS) return "6 intensities wanted";
  for (uint32_t channel = 0; channel < CHANNELS; channel++) {
    inside = inside && value[channel] <= HUNDRED;
    target.intensity[channel] = light_of(value[channel]);
  }
  if (!inside || level > HUNDRED) return "per cent out of range";
  if (milliseconds > 86400000u) return "time out of range";
  target.level = light_of(level);
  light_go(&target, ticks_of_ms((uint32_t)milliseconds));
  return 0;
}

static const char *obey(const char *at)
{
  uint64_t milliseconds;
  if (word(&at, "off") && !*at) {
    target_t target = *light_target();
    target.level = 0;
    light_go(&target, 0);
    return 0;
  }
  if (word(&at, "restart") && !*at) {
    restart = true;
    return 0;
  }
  if (word(&at, "dim")) return dim(at, 0);
  if (word(&at, "fade") && number(&at, 1, &milliseconds) && word(&at, "dim")) return dim(at, milliseconds);
  return "unknown command";
}

static void refuse(const char *reason)
{
  for (const char *text = "no "; *text; text++) lamp_send_byte(LAMP_CONSOLE, (uint8_t)*text);
  say(reason);
}

static void take_line(void)
{
  const char *at = line;
  if (overlong) {
    refuse("line longer than 255 bytes");
    return;
  }
  skip_blanks(&at);
  const char *who = at;
  if (word(&who, "who") && !*who) {
    say("Halden Display Lighting, alcove-6, 0, 1.0.0-c");
    return;
  }
  const char *reason = obey(at);
  if (reason) {
    refuse(reason);
    return;
  }
  dali_overruled();
  say("ok");
}

bool console_take(uint8_t byte)
{
  if (byte != '\r' && byte != '\n') {
    if (length >= LONGEST) overlong = true;
    else line[length++] = (char)byte;
    return false;
  }
  bool any = length > 0;
  line[length] = 0;
  if (any) take_line();
  length = 0;
  overlong = false;
  return any;
}

bool console_wants_restart(void) { return restart; }
