/* One firmware that logs what the letters on its console name; a line end is answered. */
#include "lamp-port.h"

static void answer(const char *text)
{
  while (*text) lamp_send_byte(LAMP_CONSOLE, (uint8_t)*text++);
}

static void flood(void)
{
  char line[] = "line 0000";
  for (uint32_t count = 0; count < 3000; count++) {
    for (uint32_t place = 0, rest = count; place < 4; place++, rest /= 10) line[8 - place] = '0' + rest % 10;
    lamp_log(line);
  }
}

static void at_length(void)
{
  char line[251];
  for (uint32_t place = 0; place < 250; place++) line[place] = 'a';
  line[250] = 0;
  /* An e with an accent, across the place where it is cut. */
  line[199] = (char)0xc3;
  line[200] = (char)0xa9;
  lamp_log(line);
}

void lamp_init(void) { lamp_set_analogue(0, 8); }

bool lamp_tick(void) { return true; }

#ifdef MAIN_LOOP
void lamp_main(void)
{
  for (;;) {
    lamp_log("to sleep");
    lamp_wait_for_interrupt(true);
    lamp_log("awake");
  }
}
#endif

void lamp_receive_console(uint8_t byte)
{
  switch (byte) {
    case '\n': answer("ok\n"); break;
    case 'h': lamp_log("hello, 25 \xc2\xb0\x43"); break;
    case 'p': lamp_log("as puts does\r\n"); break;
    case 'b': lamp_log("\x1b[31mred\xff\xc3(\x80"); break;
    case 't': lamp_log("two\nlines"); break;
    case 'f': flood(); break;
    case 'l': at_length(); break;
    case 'x': lamp_log("about to divide"); __builtin_trap();
    case 'y': lamp_log((const char *)0x7fffffff); break;
  }
}
