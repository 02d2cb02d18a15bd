import type { ChallengedFault, ChallengeRecord } from '../../record/challenge-record.ts';
import { challengeStyle } from '../html/assets.js';
import { renderDocument } from '../html/document.ts';
import { type Html, html } from '../html/html.ts';
import { scrolling } from '../html/table.ts';
import { counted } from '../words/prose.ts';
import { sizeText } from '../words/value-text.ts';

/** The challenge as one HTML file: seeded faults against claims. No script at all. */
export function renderChallengePage(record: ChallengeRecord): string {
  const title = `${record.lamps.join(', ')}: which claim catches which fault`;
  return renderDocument({ title, styles: [challengeStyle], body: body(record, title) });
}

function body(record: ChallengeRecord, title: string): Html {
  const tried = record.faults.filter(({ notTried }) => notTried === null);
  const catches = new Set(
    tried.flatMap(({ caughtBy, sometimesBy }) => [...caughtBy, ...sometimesBy]),
  );
  const columns = record.specs.filter((spec) => catches.has(spec));
  const idle = record.specs.filter((spec) => !catches.has(spec));
  return html`
    <main>
      <h1>${title}</h1>
      <p>${summary(record, tried)}</p>
      <p class="soft">● caught on every lamp · ◐ on some lamps only · ▲ escaped</p>
      ${scrolling('Faults against claims', matrix(tried, columns))}
      ${idle.length > 0 && html`<p class="soft">Claims that no seeded fault broke: ${idle.join(', ')}.</p>`}
      ${record.vacuous.map(vacuousNote)}
      ${record.faults.map(notTriedNote)}
    </main>`;
}

function summary({ healthy, seeds }: ChallengeRecord, tried: readonly ChallengedFault[]): string {
  const { lamps, falseAlarms, undecided } = healthy;
  const caught = tried.filter(({ caughtBy }) => caughtBy.length > 0);
  return [
    `${caught.length} of ${counted(tried.length, 'seeded fault')} are caught at nominal size.`,
    `${counted(lamps, 'healthy lamp')} gave ${counted(falseAlarms, 'false alarm')}; ${undecided} stayed undecided.`,
    `Each fault was seeded into ${counted(seeds, 'lamp')}.`,
  ].join(' ');
}

function notTriedNote({ fault, notTried }: ChallengedFault): Html | null {
  return notTried === null ? null : html`<p class="soft">${fault} was not tried: ${notTried}</p>`;
}

function vacuousNote({ spec, lamp, why }: ChallengeRecord['vacuous'][number]): Html {
  return html`<p>▲ ${spec} cannot fail on ${lamp}: ${why}</p>`;
}

function matrix(faults: readonly ChallengedFault[], specs: readonly string[]): Html {
  const turned = specs.map(
    (spec) => html`<th scope="col" class="turned"><span>${spec}</span></th>`,
  );
  return html`
    <table>
      <thead>
        <tr>
          <th scope="col">Seeded fault</th>
          <th scope="col">Lamp</th>
          <th scope="col">Caught down to</th>
          ${turned}
        </tr>
      </thead>
      <tbody>${faults.map((fault) => row(fault, specs))}</tbody>
    </table>`;
}

function row(challenged: ChallengedFault, specs: readonly string[]): Html {
  const { fault, title, lamp, caughtBy, smallestSizeCaught, nominalSize, unit } = challenged;
  const escaped = caughtBy.length === 0;
  const size = escaped ? '▲ escaped' : sizeText(smallestSizeCaught ?? nominalSize, unit);
  return html`
    <tr class="${escaped && 'escaped'}">
      <th scope="row">${title}<small> ${fault}</small></th>
      <td>${lamp}</td>
      <td>${size}<small> of ${sizeText(nominalSize, unit)}</small></td>
      ${specs.map((spec) => cell(challenged, spec))}
    </tr>`;
}

function cell({ caughtBy, sometimesBy }: ChallengedFault, spec: string): Html {
  if (caughtBy.includes(spec)) return html`<td class="mark" title="${spec}: caught">●</td>`;
  if (sometimesBy.includes(spec))
    return html`<td class="mark" title="${spec}: caught on some lamps">◐</td>`;
  return html`<td class="mark"></td>`;
}
