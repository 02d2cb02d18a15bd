#include "fade.h"

/* A dark end counts as the floor, or as the other end where that is lower. */
static light_t floored(light_t end, light_t other, light_t floor)
{
  if (end > 0) return end;
  return other < floor ? other : floor;
}

void fade_order(fade_t *fade, light_t target, uint32_t duration, uint32_t now)
{
  light_t origin = fade->present;
  fade->target = target;
  fade->start = now;
  fade->duration = duration;
  fade->moving = true;
  if (origin == 0 && target == 0) {
    fade->duration = 0;
    return;
  }
  fade->from = curve_log(floored(origin, target, fade->floor));
  fade->to = curve_log(floored(target, origin, fade->floor));
}

void fade_hold(fade_t *fade)
{
  fade->target = fade->present;
  fade->moving = false;
}

void fade_advance(fade_t *fade, uint32_t now)
{
  if (!fade->moving) return;
  uint32_t elapsed = now - fade->start;
  if (elapsed >= fade->duration) {
    fade->present = fade->target;
    fade->moving = false;
    return;
  }
  int64_t way = (int64_t)fade->to - fade->from;
  fade->present = curve_light(fade->from + (log_t)(way * elapsed / fade->duration));
}
