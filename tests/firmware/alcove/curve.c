#include "curve.h"

/* 2^(i / 64) with 30 bits after the point (computed). Straight lines between are right to 15 parts per million. */
static const uint32_t power[65] = {
  1073741824, 1085434106, 1097253708, 1109202018, 1121280436, 1133490379, 1145833280, 1158310587, 1170923762,
  1183674286, 1196563654, 1209593378, 1222764986, 1236080024, 1249540052, 1263146652, 1276901417, 1290805962,
  1304861917, 1319070932, 1333434672, 1347954824, 1362633090, 1377471191, 1392470869, 1407633882, 1422962010,
  1438457051, 1454120821, 1469955159, 1485961921, 1502142985, 1518500250, 1535035634, 1551751076, 1568648537,
  1585730000, 1602997467, 1620452965, 1638098541, 1655936265, 1673968228, 1692196547, 1710623359, 1729250827,
  1748081133, 1767116489, 1786359126, 1805811301, 1825475297, 1845353420, 1865448001, 1885761398, 1906295993,
  1927054196, 1948038440, 1969251188, 1990694927, 2012372174, 2034285470, 2056437387, 2078830522, 2101467502,
  2124350982, 2147483648u
};

light_t curve_light(log_t logarithm)
{
  if (logarithm >= 0) return ONE;
  int32_t whole = logarithm >> 24;
  uint32_t fraction = (uint32_t)logarithm & (LOG_ONE - 1);
  uint32_t index = fraction >> 18;
  uint64_t rest = fraction & ((1u << 18) - 1);
  uint64_t mantissa = power[index] + (((power[index + 1] - power[index]) * rest) >> 18);
  if (whole < -31) return 0;
  return (light_t)((mantissa + (1ull << (-whole - 1))) >> -whole);
}

log_t curve_log(light_t light)
{
  int zeros = __builtin_clz(light);
  uint64_t mantissa = (uint64_t)light << zeros;
  log_t result = (1 - zeros) * LOG_ONE;
  for (log_t bit = LOG_ONE >> 1; bit > 0; bit >>= 1) {
    mantissa = (mantissa * mantissa) >> 31;
    if (mantissa >> 32) {
      mantissa >>= 1;
      result += bit;
    }
  }
  return result;
}

light_t curve_product(light_t level, light_t intensity)
{
  return (light_t)(((uint64_t)level * intensity + (ONE >> 1)) >> 30);
}
