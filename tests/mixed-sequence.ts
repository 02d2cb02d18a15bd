import type { TestSpecification } from 'vitest/node';
import { BaseSequencer } from 'vitest/node';

/**
 * Spreads the files in real time evenly among the others, the longest of each first, as far as an earlier run tells. So there is
 * always something to compute while a rig is waited for; in turn, each kind would have the machine to itself.
 */
export class MixedSequence extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const sorted = await super.sort(files);
    const inRealTime = ({ project }: TestSpecification): boolean => project.name === 'real time';
    const placed = [true, false].flatMap((kind) => {
      const own = sorted.filter((file) => inRealTime(file) === kind);
      return own.map((file, k) => ({ file, place: (k + 0.5) / own.length }));
    });
    return placed.sort((one, other) => one.place - other.place).map(({ file }) => file);
  }
}
