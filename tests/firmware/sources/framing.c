/* Says what it hears, and marks framing errors. */
#include "lamp-port.h"

void lamp_init(void) {}
bool lamp_tick(void) { return true; }
void lamp_receive_console(uint8_t byte) { lamp_send_byte(LAMP_CONSOLE, byte); }

#ifndef WITHOUT_FRAMING
void lamp_framing_error(uint32_t link, uint32_t byte)
{
  lamp_send_byte(LAMP_CONSOLE, '!');
  lamp_send_byte(LAMP_CONSOLE, '0' + link);
  lamp_send_byte(LAMP_CONSOLE, byte);
}
#endif
