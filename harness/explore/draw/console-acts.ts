import fc, { type Arbitrary } from 'fast-check';
import type { ConsoleLink, Lamp } from '../../bench/lamp.ts';
import type { WrittenStep } from '../../plan/verbs/verb.ts';
import { type Act, holdOf, hundredths, inTurn, mostly, oneOfActs } from './values.ts';

/** Lines for the console: what the lamp file says that it understands, at the ends of ranges and beyond, and what it does not. */
export function consoleActs({ channels }: Lamp, console: ConsoleLink): Arbitrary<Act> {
  const figure = mostly(['0', '0.1', '0.05', '1', '50', '100', '100.0'], hundredths.map(String));
  const strange = fc.constantFrom(
    '-1',
    '100.1',
    '101',
    '1e2',
    'x',
    '',
    '0x10',
    '99999999999',
    '50%',
  );
  const shares = (of: Arbitrary<string>) =>
    fc.tuple(...channels.map(() => of)).map((all) => all.join(' '));
  const milliseconds = mostly(
    ['0', '1', '20', '500', '1000', '2000'],
    fc.integer({ min: 0, max: 4000 }).map(String),
  );
  const line = (template: string, level: Arbitrary<string>, mix: Arbitrary<string>) =>
    fc
      .tuple(level, mix, milliseconds)
      .map(([own, intensities, time]) =>
        template
          .replaceAll('{level}', own)
          .replaceAll('{intensities}', intensities)
          .replaceAll('{milliseconds}', time),
      );
  const said = (lines: Arbitrary<string>): Arbitrary<WrittenStep> =>
    lines.map((text) => ({ send: { console: text } }));
  const words = [console.off, console.identify, console.temperature ?? console.identify];
  return oneOfActs([
    [4, said(line(console.set, figure, shares(figure)))],
    [4, said(line(console.fade, figure, shares(figure)))],
    [2, said(fc.constantFrom(...words))],
    [1, said(line(console.set, strange, shares(figure)))],
    [1, said(line(console.fade, figure, shares(strange)))],
    [1, said(fc.stringMatching(/^[!-~][ -~]{0,40}$/))],
    // Longer than any buffer for a line, and a line that has to be taken behind it.
    [
      1,
      inTurn(
        said(fc.stringMatching(/^[!-~][ -~]{60,300}$/)),
        holdOf('20 ms', '300 ms'),
        said(line(console.set, figure, shares(figure))),
        holdOf('300 ms'),
      ),
    ],
    [1, fc.integer({ min: 1, max: 40 }).map((bytes) => ({ noise: { link: 'console', bytes } }))],
  ]);
}
