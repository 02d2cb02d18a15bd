/* Reads its analogue inputs at every tick, with a quarter of the light on the first channel. */
#include "lamp-port.h"

void lamp_init(void)
{
  lamp_set_pwm(0, 10, 1250, 0);
  lamp_set_peak_current(0, 700000);
  lamp_set_drive(0, 256);
}

bool lamp_tick(void)
{
  lamp_probe("temperature", "", lamp_adc_read(LAMP_ADC_TEMPERATURE));
  lamp_probe("supply", "", lamp_adc_read(LAMP_ADC_SUPPLY));
  lamp_probe("current", "", lamp_adc_read(LAMP_ADC_CURRENT));
  lamp_probe("none", "", lamp_adc_read(LAMP_ADC_CURRENT + 99));
  lamp_probe("celsius", "", lamp_temperature_millicelsius() / 1000.0);
  return false;
}
