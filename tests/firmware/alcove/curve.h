/* Light as fixed point, and its logarithm: the domain in which a dimmer moves evenly. */
#ifndef CURVE_H
#define CURVE_H

#include <stdint.h>

/* Brightness, level, intensity: 0..ONE is dark..full. */
typedef uint32_t light_t;
#define ONE (1u << 30)

/* Base-2 logarithm of a light, 24 bits after the point; 0 is full, negative below. */
typedef int32_t log_t;
#define LOG_ONE (1 << 24)

/* The bottom of the dimming curve, 0.1 %. */
#define BOTTOM ((light_t)1073742)

light_t curve_light(log_t logarithm);
/* `light` above 0. */
log_t curve_log(light_t light);
/* level * intensity */
light_t curve_product(light_t level, light_t intensity);

#endif
