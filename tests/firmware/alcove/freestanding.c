/* What the compiler may call and no library brings: copies and fills. */
#include <stddef.h>

void *memcpy(void *to, const void *from, size_t count)
{
  char *target = to;
  const char *source = from;
  while (count--) *target++ = *source++;
  return to;
}

void *memset(void *to, int value, size_t count)
{
  char *target = to;
  while (count--) *target++ = (char)value;
  return to;
}
