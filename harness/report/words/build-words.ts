import { type BrokenClaim, cameOutBothWays, type TableLamp } from '../../record/build-table.ts';
import type { FlakyClaim } from '../../record/trend.ts';
import { counted } from './prose.ts';
import { flakyText } from './trend-words.ts';

/** `Alcove-6`, `Alcove-6 (simulated)`. */
export function tableLampText({ lamp, simulated }: TableLamp): string {
  return simulated ? `${lamp} (simulated)` : lamp;
}

/** Between which builds claims broke, as far as that is known. */
export function breakText({ lastGood, firstBad, lookedAt, ...lamp }: BrokenClaim): string {
  const where = `on ${tableLampText(lamp)}`;
  if (lastGood) return `Build ${lastGood.build} passed, build ${firstBad.build} failed, ${where}`;
  const builds = lookedAt === 1 ? 'the only build' : `none of ${lookedAt} builds`;
  const passed = lookedAt === 1 ? 'did not pass' : 'passed';
  return `First seen to fail on build ${firstBad.build}: ${builds} ${passed}, ${where}`;
}

/** What a reader must know before blaming a build for a claim; a sentence each. */
export function breakNotes({ now, firstBad, between, changed }: BrokenClaim): string[] {
  const notes = changed.map((what) => otherwise[what]);
  if (between > 0) notes.push(`${counted(between, 'build')} in between did not decide it.`);
  for (const on of firstBad.build === now.build ? [firstBad] : [firstBad, now])
    if (cameOutBothWays(on))
      notes.push(
        `On build ${on.build} it came out both ways: ${on.passed} passed, ${on.failed} failed.`,
      );
  return notes;
}

const otherwise: Readonly<Record<BrokenClaim['changed'][number], string>> = {
  spec: 'The spec changed too.',
  rig: 'The rig was another.',
  lamp: 'The lamp was another of its kind (serial number).',
};

/** `fails in 25 % of its runs: 9 passed, 3 failed in 12 runs of …` */
export function flakyRateText(claim: FlakyClaim): string {
  const rate = Math.round((100 * claim.failed) / claim.runs);
  return `fails in ${rate} % of its runs: ${flakyText(claim)}`;
}
