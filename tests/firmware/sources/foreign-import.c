/* Asks for a function that the lamp does not offer. */
#include "lamp-port.h"

__attribute__((import_module("env"), import_name("printf"))) int print(const char *text);

void lamp_init(void) { print("hello"); }
bool lamp_tick(void) { return true; }
