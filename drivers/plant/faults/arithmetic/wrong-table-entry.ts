import type { Fault } from '../fault.ts';

/** The entry's range of brightness: between the levels that a test by the decade would visit. */
const entry = { from: 0.045, to: 0.065 };

export const wrongTableEntry: Fault = {
  id: 'wrong-table-entry',
  title: "One entry of the curve's table is wrong",
  about:
    'Around 5.5 % the light is too dark: fades hesitate there, and all other levels are right.',
  family: 'arithmetic',
  size: { nominal: 0.2, unit: '1', about: 'relative error of the entry' },
  sizes: [0.01, 0.03, 0.1, 0.2],
  caughtBy: ['sweep-follows-curve'],
  apply(model, size) {
    const { output: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      output: (brightness, at) => {
        const wanted = before(brightness, at);
        return wanted > entry.from && wanted < entry.to ? wanted * (1 - size) : wanted;
      },
    };
  },
};
