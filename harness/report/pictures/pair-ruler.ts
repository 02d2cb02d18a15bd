import type { Finding } from '../../record/run-record.ts';
import { type Html, html } from '../html/html.ts';
import { ruledFinding, rulerSize, sharedRange } from './tolerance-ruler.ts';
import { verdictClass } from './verdict-shape.ts';

/** Room for the letter of a lane, and from one lane to the next. */
const letterWidth = 14;
const laneHeight = 22;

interface Lane {
  readonly letter: string;
  readonly finding: Finding;
}

/**
 * Two findings against one ruler: a lane for each, with one scale and one row of figures, so that a value stands where the same value
 * stands in the other lane. A finding that was not measured, or has no limit, has no lane; null where neither has one.
 *
 * @param words the same in words, for those who do not see it
 */
export function pairRuler(a: Finding | null, b: Finding | null, words: string): Html | null {
  const lanes = [lane('A', a), lane('B', b)].flat();
  const range = sharedRange(lanes.map(({ finding }) => finding));
  if (!range) return null;
  const last = lanes.length - 1;
  const [width, height] = [rulerSize.width + letterWidth, rulerSize.height + laneHeight * last];
  return html`
    <svg class="ruler pair" viewBox="0 0 ${width} ${height}" role="img" aria-label="${words}">
      ${lanes.map(({ letter, finding }, k) => {
        const down = k * laneHeight;
        return html`
          <text x="0" y="${rulerSize.middle + 4 + down}">${letter}</text>
          <g class="${verdictClass(finding.verdict)}" transform="translate(${letterWidth} ${down})">${ruledFinding(finding, range, k === last)}</g>`;
      })}
    </svg>`;
}

function lane(letter: string, finding: Finding | null): Lane[] {
  if (!finding?.outcome.measured) return [];
  const { lower, upper } = finding.limits;
  return lower === null && upper === null ? [] : [{ letter, finding }];
}
