import { group } from 'd3-array';
import { plainLine } from '../../../files/plain-text.ts';
import type {
  BrokenClaim,
  BuildTable,
  ClaimOnBuild,
  TableBuild,
  TableCell,
  TableLamp,
} from '../../../record/build-table.ts';
import { shortId } from '../../../record/ids.ts';
import type { FlakyClaim } from '../../../record/trend.ts';
import { type Content, type Html, html } from '../../html/html.ts';
import { bulletList, scrolling, table } from '../../html/table.ts';
import { verdictLabel } from '../../pictures/verdict-shape.ts';
import { breakNotes, breakText, flakyRateText, tableLampText } from '../../words/build-words.ts';
import { counted, dateText } from '../../words/prose.ts';
import type { StoredSeal } from '../../words/seal-words.ts';
import { alteredNote } from '../archive/altered-note.ts';
import { alteredLabel, holdCount, runHref } from '../archive/run-list.ts';

export interface BuildsSheet {
  readonly table: BuildTable;
  readonly flaky: readonly FlakyClaim[];
  /** Runs that are not as they were stored, by their folders. */
  readonly altered: ReadonlyMap<string, StoredSeal>;
}

/** How the newest builds came out on each lamp, which build broke what does not hold now, and what comes out both ways. */
export function buildsPage({ table, flaky, altered }: BuildsSheet): Content {
  if (table.builds.length === 0)
    return html`<p class="aside">No build has a complete, sealed run yet. To make the first one: evenfall run specs</p>`;
  const sound = table.broken.filter((claim) => !foldersOf(claim).some((one) => altered.has(one)));
  return [
    [...altered].map(([folder, seal]) => alteredNote(folder, seal)),
    resultTable(table, altered),
    brokenSection(sound),
    flakySection(flaky),
  ];
}

function foldersOf({ now, firstBad, lastGood }: BrokenClaim): string[] {
  return [now, firstBad, ...(lastGood ? [lastGood] : [])].map(({ run }) => run.folder);
}

function resultTable(
  { lamps, builds, order, older }: BuildTable,
  altered: BuildsSheet['altered'],
): Html {
  const headings = ['build', ...lamps.map((lamp) => plainLine(tableLampText(lamp)))];
  const rows = builds.map((build) => buildRow(build, lamps, altered));
  return html`
    <section>
      <h2>Results</h2>
      <div class="stacked">${scrolling('builds and lamps', table(headings, rows))}</div>
      <p class="aside">
        A cell shows the newest whole run. Newest builds first, ${orderWords[order]}.
        Runs count that are complete, sealed and without a seeded fault; of shards, the merged run.
        ${older > 0 && html` ${counted(older, 'older build')} left out: see the <a href="/">list of runs</a>.`}
      </p>
    </section>`;
}

const orderWords: Readonly<Record<BuildTable['order'], string>> = {
  versions: 'by their versions',
  'first runs': 'by the first whole run of each, as their names are not all versions',
};

function buildRow(
  { build, first, cells }: TableBuild,
  lamps: readonly TableLamp[],
  altered: BuildsSheet['altered'],
): Html {
  const results = lamps.map((lamp, k) => {
    const name = plainLine(tableLampText(lamp));
    const cell = cells[k] ?? null;
    return html`<td data-name="${name}"${cell === null && html` class="absent"`}>${resultCell(cell, altered)}</td>`;
  });
  return html`
    <tr>
      <th scope="row">${plainLine(build)}<span class="aside">since ${first.slice(0, 10)}</span></th>
      ${results}
    </tr>`;
}

function resultCell(cell: TableCell | null, altered: BuildsSheet['altered']): Content {
  if (!cell) return html`<span class="aside">no run</span>`;
  const { newest, runs } = cell;
  if (!newest) return html`<span class="aside">claims by name only, ${counted(runs, 'run')}</span>`;
  const isAltered = altered.has(newest.folder);
  return html`
    ${isAltered ? alteredLabel() : verdictLabel(newest.verdict)}
    <a href="${runHref(newest.folder)}">${isAltered ? `run ${shortId(newest.id)}` : `${holdCount(newest.claims)} hold`}</a>
    <span class="aside">${newest.started.slice(0, 10)}${runs > 1 && `, ${counted(runs, 'run')}`}</span>`;
}

/** A row for each pair of builds between which something broke. */
function brokenSection(broken: readonly BrokenClaim[]): Html {
  const breaks = [...group(broken, (claim) => breakText(claim)).values()];
  return html`
    <section>
      <h2>What broke, and where</h2>
      ${
        breaks.length === 0
          ? html`<p class="aside">No claim fails on the newest build that decided it.</p>`
          : html`<ul class="rows">${breaks.map(breakRow)}</ul>`
      }
    </section>`;
}

function breakRow(claims: readonly BrokenClaim[]): Html | null {
  const [first] = claims;
  if (!first) return null;
  return html`
    <li class="row">
      <div class="margin">${verdictLabel('fail')}</div>
      <div>
        <h3 class="name">${plainLine(breakText(first))}</h3>
        ${bulletList(claims.map(brokenLine), 'plain')}
      </div>
    </li>`;
}

function compareHref(a: NonNullable<BrokenClaim['lastGood']>, b: BrokenClaim['firstBad']): string {
  return `/compare?a=${encodeURIComponent(a.run.folder)}&b=${encodeURIComponent(b.run.folder)}`;
}

function brokenLine(claim: BrokenClaim): Html {
  const { spec, now, firstBad, lastGood } = claim;
  const compare = lastGood && html`; <a href="${compareHref(lastGood, firstBad)}">compare</a>`;
  return html`
    <strong>${plainLine(spec)}</strong>: ${lastGood && html`passed in ${runLink(lastGood)}, `}failed in ${runLink(firstBad)}${compare}.
    ${now.build !== firstBad.build && html` It still fails on build ${plainLine(now.build)}, ${runLink(now)}.`}
    ${breakNotes(claim).map((note) => ` ${plainLine(note)}`)}`;
}

function runLink({ run: { folder, id, started } }: ClaimOnBuild): Html {
  return html`<a href="${runHref(folder)}">run ${shortId(id)}</a> of ${dateText(started)}`;
}

function flakySection(claims: readonly FlakyClaim[]): Html {
  const items = claims.map(
    (claim) => html`<strong>${plainLine(claim.spec)}</strong> ${plainLine(flakyRateText(claim))}.`,
  );
  return html`
    <section>
      <h2>Flaky claims</h2>
      ${
        items.length === 0
          ? html`<p class="aside">None: no claim both passed and failed on one build, lamp and rig.</p>`
          : bulletList(items, 'plain')
      }
    </section>`;
}
