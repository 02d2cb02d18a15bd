import type { Fault } from '../fault.ts';

export const turnOnOvershoot: Fault = {
  id: 'turn-on-overshoot',
  title: 'Current overshoots at turn-on',
  about:
    'The loop is underdamped: each pulse starts with a surge, so that low levels are too bright.',
  family: 'current',
  size: { nominal: 0.3, unit: '1', about: 'surge over the settled current' },
  sizes: [0.03, 0.1, 0.2, 0.3, 1],
  caughtBy: ['reaches-bottom'],
  apply(model, size) {
    model.stage.overshoot = size;
    model.stage.overshootTime = 200e-9;
  },
};
