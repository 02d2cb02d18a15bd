import type { ChallengedFault, ChallengeRecord } from '../../record/challenge-record.ts';
import { challengeStyle } from '../html/assets.js';
import { renderDocument } from '../html/document.ts';
import { element, type Markup } from '../html/markup.ts';
import { sizeText } from '../text/challenge-text.ts';

/** The challenge as one HTML file: seeded faults against claims. No script at all. */
export function renderChallengePage(record: ChallengeRecord): string {
  const title = `${record.lamps.join(', ')}: which claim catches which fault`;
  return renderDocument({ title, styles: [challengeStyle], body: body(record, title) });
}

function body(record: ChallengeRecord, title: string): Markup {
  const tried = record.faults.filter(({ notTried }) => notTried === null);
  const caught = tried.filter(({ caughtBy }) => caughtBy.length > 0);
  const { lamps, falseAlarms, undecided } = record.healthy;
  const columns = record.specs.filter((spec) =>
    tried.some(
      ({ caughtBy, sometimesBy }) => caughtBy.includes(spec) || sometimesBy.includes(spec),
    ),
  );
  const idle = record.specs.filter((spec) => !columns.includes(spec));
  return element(
    'main',
    {},
    element('h1', {}, title),
    element(
      'p',
      {},
      `${caught.length} of ${tried.length} seeded faults are caught at their nominal size. ${lamps} healthy lamps gave ${falseAlarms} false alarms; ${undecided} stayed undecided. Each fault was seeded into ${record.seeds} lamp${record.seeds === 1 ? '' : 's'}.`,
    ),
    element('p', { class: 'soft' }, '● caught on every lamp · ◐ on some lamps only · ▲ escaped'),
    element(
      'div',
      { class: 'wide', tabindex: 0, role: 'region', 'aria-label': 'matrix' },
      table(tried, columns),
    ),
    idle.length > 0 &&
      element('p', { class: 'soft' }, `Claims that no seeded fault broke: ${idle.join(', ')}.`),
    ...record.faults
      .filter(({ notTried }) => notTried !== null)
      .map(({ fault, notTried }) =>
        element('p', { class: 'soft' }, `${fault} was not tried: ${notTried}`),
      ),
  );
}

function table(faults: readonly ChallengedFault[], specs: readonly string[]): Markup {
  const head = specs.map((spec) =>
    element('th', { scope: 'col', class: 'turned' }, element('span', {}, spec)),
  );
  return element(
    'table',
    {},
    element(
      'thead',
      {},
      element(
        'tr',
        {},
        element('th', { scope: 'col' }, 'Seeded fault'),
        element('th', { scope: 'col' }, 'Lamp'),
        element('th', { scope: 'col' }, 'Caught down to'),
        ...head,
      ),
    ),
    element('tbody', {}, ...faults.map((fault) => row(fault, specs))),
  );
}

function row(fault: ChallengedFault, specs: readonly string[]): Markup {
  const escaped = fault.caughtBy.length === 0;
  const size = escaped
    ? '▲ escaped'
    : sizeText(fault.smallestSizeCaught ?? fault.nominalSize, fault.unit);
  return element(
    'tr',
    { class: escaped ? 'escaped' : '' },
    element('th', { scope: 'row' }, fault.title, element('small', {}, ` ${fault.fault}`)),
    element('td', {}, fault.lamp ?? ''),
    element('td', {}, size, element('small', {}, ` of ${sizeText(fault.nominalSize, fault.unit)}`)),
    ...specs.map((spec) => cell(fault, spec)),
  );
}

function cell({ caughtBy, sometimesBy }: ChallengedFault, spec: string): Markup {
  const always = caughtBy.includes(spec);
  const word = always ? 'caught' : sometimesBy.includes(spec) ? 'caught on some lamps' : '';
  return element(
    'td',
    { class: 'mark', title: word && `${spec}: ${word}` },
    word && (always ? '●' : '◐'),
  );
}
