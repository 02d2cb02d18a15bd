import type { Fault } from '../fault.ts';

export const consoleBaudOff: Fault = {
  id: 'console-baud-off',
  title: 'The console has another baud rate',
  about:
    "The lamp's serial port runs too fast for the baud rate of its console: bytes are not what was sent.",
  family: 'links',
  size: { nominal: 0.06, unit: '1', about: "relative error of the lamp's bit clock" },
  sizes: [0.01, 0.03, 0.06],
  caughtBy: ['fades-on-time'],
  needs: { links: ['console'] },
  apply(model, size) {
    model.links = {
      ...model.links,
      serialRate: { ...model.links.serialRate, console: 1 + size },
    };
  },
};
