import type { ChallengedFault, ChallengeRecord } from '../../record/challenge-record.ts';
import { element, escapeHtml, type Markup, toHtml } from '../html/markup.ts';
import { sizeText } from '../text/challenge-text.ts';

/** The challenge as one HTML file: seeded faults against claims. No script at all. */
export function renderChallengePage(record: ChallengeRecord): string {
  const title = `${record.lamps.join(', ')}: which claim catches which fault`;
  return [
    '<!doctype html>',
    '<html lang="en">',
    '<head>',
    '<meta charset="utf-8">',
    `<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; img-src data:">`,
    '<meta name="viewport" content="width=device-width, initial-scale=1">',
    '<link rel="icon" href="data:,">',
    `<title>${escapeHtml(title)}</title>`,
    `<style>${style}</style>`,
    '</head>',
    '<body>',
    toHtml(body(record, title)),
    '</body>',
    '</html>',
    '',
  ].join('\n');
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

const style = `
:root{--ink:#1d1c1a;--soft:#67635b;--paper:#fcfbf7;--rule:#ddd9cf;--bad:#9c2b14}
*{box-sizing:border-box}
body{margin:0;background:var(--paper);color:var(--ink);font:15px/1.5 Georgia,serif}
main{margin:0 auto;padding:2rem 1.25rem 4rem;max-width:110rem}
h1{font-size:1.5rem;margin:0 0 .5rem}
.soft,small{color:var(--soft)}
.wide{overflow-x:auto}
table{border-collapse:collapse;font-size:.86rem}
th,td{border-bottom:1px solid var(--rule);padding:.25rem .5rem;text-align:left;vertical-align:bottom;white-space:nowrap}
tbody th{font-weight:400;position:sticky;left:0;background:var(--paper)}
.turned{padding:.25rem .1rem;height:13rem;width:1.6rem}
.turned span{writing-mode:vertical-rl;transform:rotate(180deg)}
.mark{text-align:center;border-left:1px solid var(--rule)}
.escaped th,.escaped td{color:var(--bad)}
@media print{main{padding:0}.turned{height:11rem}table{font-size:.6rem}}
`;
