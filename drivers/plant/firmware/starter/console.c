#include "console.h"
#include "lamp-port.h"
#include "light.h"

#define LONGEST 255

static char line[LONGEST + 1];
static uint32_t length;
static bool overlong, restart;

static void say(const char *text)
{
  while (*text) lamp_send_byte(LAMP_CONSOLE, (uint8_t)*text++);
  lamp_send_byte(LAMP_CONSOLE, '\n');
}

static bool ends(char letter) { return letter == 0 || letter == ' '; }

/* Steps over a word that stands alone, and the spaces behind it. */
static bool word(const char **at, const char *wanted)
{
  const char *next = *at;
  while (*wanted) if (*next++ != *wanted++) return false;
  if (!ends(*next)) return false;
  while (*next == ' ') next++;
  *at = next;
  return true;
}

/* A figure without sign. */
static bool figure(const char **at, double *value)
{
  const char *next = *at;
  double place = 1;
  bool point = false;
  if (*next < '0' || *next > '9') return false;
  for (*value = 0; (*next >= '0' && *next <= '9') || (*next == '.' && !point); next++) {
    if (*next == '.') point = true;
    else if (point) *value += (*next - '0') * (place /= 10);
    else *value = *value * 10 + (*next - '0');
  }
  if (!ends(*next)) return false;
  while (*next == ' ') next++;
  *at = next;
  return true;
}

/* Per cent to 0..1. */
static bool share(const char **at, double *value)
{
  if (!figure(at, value) || *value > 100) return false;
  *value /= 100;
  return true;
}

/* What stands behind `dim`. */
static bool dim(const char *at, double milliseconds)
{
  target_t wanted;
  if (milliseconds > 86400000.0 || !share(&at, &wanted.level) || !word(&at, "mix")) return false;
  for (uint32_t channel = 0; channel < CHANNELS; channel++)
    if (!share(&at, &wanted.intensity[channel])) return false;
  if (*at) return false;
  light_go(&wanted, (uint32_t)milliseconds);
  return true;
}

static bool obey(const char *at)
{
  double milliseconds = 0;
  if (word(&at, "off") && !*at) {
    target_t dark = *light_target();
    dark.level = 0;
    light_go(&dark, 0);
    return true;
  }
  if (word(&at, "fade") && !figure(&at, &milliseconds)) return false;
  return word(&at, "dim") && dim(at, milliseconds);
}

static bool take_line(void)
{
  const char *at = line;
  if (!overlong && word(&at, "who") && !*at) {
    say(IDENTITY);
    return false;
  }
  if (!overlong && word(&at, "restart") && !*at) {
    restart = true;
    say("ok");
    return false;
  }
  bool understood = !overlong && obey(line);
  say(understood ? "ok" : "no");
  return understood;
}

bool console_take(uint8_t byte)
{
  if (byte != '\n' && byte != '\r') {
    if (length >= LONGEST) overlong = true;
    else line[length++] = (char)byte;
    return false;
  }
  line[length] = 0;
  bool any = length > 0;
  bool changed = any && take_line();
  length = 0;
  overlong = false;
  return changed;
}

bool console_wants_restart(void) { return restart; }
