import { cameraExplained } from './explained/camera.ts';
import { colourExplained } from './explained/colour.ts';
import { controlExplained } from './explained/control.ts';
import { currentExplained } from './explained/current.ts';
import { fadeExplained } from './explained/fade.ts';
import { flickerExplained } from './explained/flicker.ts';
import { levelExplained } from './explained/level.ts';
import { mainsExplained } from './explained/mains.ts';
import { signalExplained } from './explained/signal.ts';
import { verdictExplained } from './explained/verdict.ts';
import type { Mutant } from './mutants.ts';

const explained = [
  ...cameraExplained,
  ...colourExplained,
  ...controlExplained,
  ...currentExplained,
  ...fadeExplained,
  ...flickerExplained,
  ...levelExplained,
  ...mainsExplained,
  ...signalExplained,
  ...verdictExplained,
];

export function explanationOf({ file, original, replacement }: Mutant): string | undefined {
  return explained.find(
    (each) =>
      each.file === file &&
      each.original === original &&
      (each.replacement ?? replacement) === replacement,
  )?.why;
}
