import { expectThat, type Guarantee, plainCall, Unproven } from './guarantee.ts';
import { rejectsWith, resolves } from './settled.ts';

const states = ['good', 'saturated', 'under-range'];

/** So many digits of X, Y and Z together are never the same by chance: each has noise. */
const tellingDigits = 12;

/** What colour sensors and cameras promise. */
export const readingGuarantees: readonly Guarantee<'colour-sensor' | 'camera'>[] = [
  {
    guarantee: 'A reading is whole: state, tristimulus values, integration time',
    kinds: ['colour-sensor'],
    check: async (sensor, candidate) => {
      if (sensor.kind !== 'colour-sensor') return;
      const integration = 0.1;
      const read = sensor.read({ integration }, plainCall(candidate));
      const reading = await resolves(read, candidate.deadline + integration, 'read()');
      const { X, Y, Z, state } = reading;
      expectThat(states.includes(state), `state should be ${states.join(', ')}, but is ${state}`);
      if (state === 'good')
        expectThat(
          [X, Y, Z].every((value) => Number.isFinite(value) && value >= 0),
          `a good reading should have X, Y, Z of at least 0, but has ${X}, ${Y}, ${Z}`,
        );
      expectThat(
        Math.abs(reading.integration / integration - 1) < 0.5,
        `it integrated for ${reading.integration} s; expected ${integration} s`,
      );
    },
  },
  {
    guarantee: 'A second reading, with another integration time, is a new one',
    kinds: ['colour-sensor'],
    check: async (sensor, candidate) => {
      if (sensor.kind !== 'colour-sensor') return;
      const figures: string[] = [];
      for (const integration of [0.1, 0.12]) {
        const read = sensor.read({ integration }, plainCall(candidate));
        const { X, Y, Z, state } = await resolves(read, candidate.deadline + integration, 'read()');
        if (state !== 'good') throw new Unproven(`the light is ${state}; give it some`);
        figures.push(`${X}, ${Y}, ${Z}`);
      }
      const [first = '', second] = figures;
      if (first !== second) return;
      if (first.replace(/\D/g, '').length < tellingDigits)
        throw new Unproven(`it read ${first} twice, which has too few digits to tell`);
      expectThat(
        false,
        `it read ${first} twice; expected figures that differ in their last digits`,
      );
    },
  },
  {
    guarantee: 'An integration time of nothing is refused or unsupported',
    kinds: ['colour-sensor'],
    check: async (sensor, candidate) => {
      if (sensor.kind !== 'colour-sensor') return;
      const read = sensor.read({ integration: 0 }, plainCall(candidate));
      await rejectsWith(read, ['unsupported', 'refused'], candidate.deadline, 'read() over 0 s');
    },
  },
  {
    guarantee: 'A frame is whole: rows, line time, exposure',
    kinds: ['camera'],
    check: async (camera, candidate) => {
      if (camera.kind !== 'camera') return;
      const exposure = 0.01;
      const shoot = camera.shoot({ exposure, frameRate: 25 }, plainCall(candidate));
      const frame = await resolves(shoot, candidate.deadline, 'shoot()');
      expectThat(frame.rows.length > 1, `a frame has rows, but this one has ${frame.rows.length}`);
      expectThat(frame.rows.every(Number.isFinite), 'every row should be a figure');
      expectThat(frame.lineTime > 0, `line time should be above 0, but is ${frame.lineTime}`);
      expectThat(
        Math.abs(frame.exposure / exposure - 1) < 0.5,
        `it exposed for ${frame.exposure} s; expected ${exposure} s`,
      );
    },
  },
];
