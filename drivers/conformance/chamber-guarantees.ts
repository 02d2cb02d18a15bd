import type { Chamber } from '../../harness/bench/ports.ts';
import { type Candidate, expectThat, type Guarantee, plainCall, Unproven } from './guarantee.ts';
import { rejectsWith, resolves } from './settled.ts';

/** Air on Earth, and in every chamber that a lamp is put into, °C. */
const plausible = { lowest: -100, highest: 200 };

/** Air moves by less than this from one reading to the next, K. */
const steady = 5;

export const thermometerGuarantees: readonly Guarantee<'thermometer'>[] = [
  {
    guarantee: 'It reads a plausible temperature, and about the same again',
    kinds: ['thermometer'],
    check: async (thermometer, candidate) => {
      const take = () =>
        resolves(thermometer.read(plainCall(candidate)), candidate.deadline, 'read()');
      const [first, second] = [(await take()).celsius, (await take()).celsius];
      expectThat(
        first > plausible.lowest && first < plausible.highest,
        `it should read a plausible temperature, but reads ${first} °C`,
      );
      expectThat(
        Math.abs(first - second) < steady,
        `it read ${first} °C, and right after that ${second} °C`,
      );
    },
  },
];

export const chamberGuarantees: readonly Guarantee<'chamber'>[] = [
  {
    guarantee: 'It takes a set point and reads it back, conditions the air, and stops',
    kinds: ['chamber'],
    check: async (chamber, candidate) => {
      const { celsius } = await read(chamber, candidate);
      expectThat(
        celsius > plausible.lowest && celsius < plausible.highest,
        `its air should have a plausible temperature, but reads ${celsius} °C`,
      );
      // The present temperature, rounded: nothing is heated or cooled by a test.
      const wanted = Math.round(celsius);
      try {
        await set(chamber, wanted, candidate);
        const { setPoint, on } = await read(chamber, candidate);
        expectThat(on, `it was set to ${wanted} °C, but says that it is off`);
        expectThat(
          setPoint === undefined || Math.abs(setPoint - wanted) < 0.1,
          `${wanted} °C were set, but it says that ${setPoint} °C are`,
        );
      } finally {
        await resolves(chamber.stop(plainCall(candidate)), candidate.deadline, 'stop()');
      }
    },
  },
  {
    guarantee: 'A temperature beyond the limit of the rig is refused',
    kinds: ['chamber'],
    check: async (chamber, candidate) => {
      const { highestCelsius } = candidate;
      if (highestCelsius === undefined) throw new Unproven('the rig states no limit');
      const beyond = chamber.set({ celsius: highestCelsius + 5 }, plainCall(candidate));
      await rejectsWith(beyond, ['refused'], candidate.deadline, 'set() beyond the limit');
    },
  },
];

function set(chamber: Chamber, celsius: number, candidate: Candidate): Promise<void> {
  const what = `set ${celsius} °C`;
  return resolves(chamber.set({ celsius }, plainCall(candidate)), candidate.deadline, what);
}

function read(chamber: Chamber, candidate: Candidate) {
  return resolves(chamber.read(plainCall(candidate)), candidate.deadline, 'read()');
}
