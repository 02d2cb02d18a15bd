/* What the parts of the DALI gear share. */
#ifndef DALI_STATE_H
#define DALI_STATE_H

#include "dali.h"
#include "light.h"

typedef struct {
  registers_t kept;
  uint8_t dtr[3];
  bool limit_error;
  bool power_cycle;
  /* Level last ordered over DALI; -1 once another link has set the light. */
  int32_t ordered;
  uint32_t last_active;
  uint32_t sequence_until;
  bool in_sequence;
} gear_t;

extern gear_t gear;

/* The level 0..254 at this moment. */
uint32_t gear_actual(void);
uint32_t gear_fade_ms(void);
/* MIN: fades to dark end there, and fades from dark begin there. */
light_t gear_floor(void);
/* Commands that move the light, configuration, queries (-1: silence). */
bool gear_level_command(uint32_t code);
void gear_configure(uint32_t code);
int32_t gear_answer(uint32_t code);
void gear_arc_power(uint32_t level);
void gear_reset(void);

/* Finding gear without an address: the special commands for it (-1: silence). */
void commissioning_init(void);
int32_t commissioning_take(uint32_t command, uint8_t value);

/* Memory banks: read and write where DTR1 and DTR0 point (-1: silence). */
void bank_init(void);
void bank_enable_write(bool enable);
int32_t bank_read(void);
int32_t bank_write(uint8_t value);

/* Colour: the commands after ENABLE DEVICE TYPE 8 (-1: silence), and the mix that waits for the next level. */
int32_t colour_command(uint32_t code);
void colour_activate(target_t *target);
void colour_forget(void);

#endif
