import { type Html, html } from '../../html/html.ts';
import type { ShardState } from './lab-state.ts';
import { conditionsOf, progressText } from './lab-words.ts';

/** How far the shards of a submission have come, as a bar with its words. */
export function shardProgress(shards: readonly ShardState[]): Html {
  const { done, planned } = conditionsOf(shards);
  const values = planned > 0 && html` max="${planned}" value="${Math.min(done, planned)}"`;
  return html`
    <label class="progress">
      <span>${progressText(shards)}</span>
      <progress${values}></progress>
    </label>`;
}
