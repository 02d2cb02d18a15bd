import type { Fault } from '../fault.ts';

export const dmxBaudOff: Fault = {
  id: 'dmx-baud-off',
  title: 'The DMX512 port has another baud rate',
  about:
    "The lamp's serial port runs too fast for the 250 kbit/s of DMX512: slots are not what was sent.",
  family: 'links',
  size: { nominal: 0.06, unit: '1', about: "relative error of the lamp's bit clock" },
  sizes: [0.01, 0.03, 0.06],
  caughtBy: ['slot-levels'],
  needs: { links: ['dmx'] },
  apply(model, size) {
    model.links = {
      ...model.links,
      serialRate: { ...model.links.serialRate, dmx: 1 + size },
    };
  },
};
