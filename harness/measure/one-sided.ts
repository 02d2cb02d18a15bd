/**
 * Standard uncertainty, as a part of it, of an error that is either none or known in size: samples that may be points or means
 * over their interval, a sensor that may be flat or have its pole. U = 1.7 times the error leaves room for noise beside it: an error d and noise
 * of s with √((1.7 d)² + (2 s)²) hold d + 1.6 s, whatever s (Cauchy's inequality).
 */
export const oneSided = 0.85;
