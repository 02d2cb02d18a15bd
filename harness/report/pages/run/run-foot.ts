import { leftAwayText } from '../../../record/kept-captures.ts';
import type { InstrumentRecord, RunRecord } from '../../../record/run-record.ts';
import { type Content, type Html, html } from '../../html/html.ts';
import { bulletList, factList, scrolling, table } from '../../html/table.ts';
import { verdictLabel } from '../../pictures/verdict-shape.ts';
import { deviationTexts } from '../../words/finding-words.ts';
import { counted } from '../../words/prose.ts';
import { againSentence } from '../../words/repeated-words.ts';
import { verdictMeaning, verdicts } from '../../words/verdict-words.ts';
import { benchAfterSection } from './bench-after-section.ts';
import { runRequirements } from './run-requirements.ts';
import { standardSection } from './standard-section.ts';

/** How the figures were taken: decision rule, instruments and their calibration, identity of all that took part, safety. */
export function runFoot(record: RunRecord): Html {
  return html`
    <footer>
      <section>
        <h2>Requirements</h2>
        <details class="folded"><summary>Show the requirements and their claims</summary>${runRequirements(record, true)}</details>
      </section>
      <section><h2>Decision rule</h2>${decisionWords(record)}</section>
      <section><h2>Instruments</h2>${instrumentTable(record)}</section>
      ${standardSection(record)}
      ${benchAfterSection(record)}
      ${deviationSection(record)}
      <section><h2>Identification</h2>${identityList(record)}</section>
      <section class="safety"><h2>Cautions</h2>${cautions()}</section>
    </footer>`;
}

/** The head of the page tells deviations of one kind as one; here each stands for itself. */
function deviationSection({ deviations }: RunRecord): Html | null {
  if (deviationTexts(deviations).length === deviations.length) return null;
  const list = bulletList(deviations.map(({ kind, text }) => `${kind}: ${text}`));
  return html`<section><h2>Deviations</h2>${list}</section>`;
}

export function decisionWords(record: RunRecord): Html {
  const { decision } = record;
  const again = againSentence(record);
  const k = decision.coverageFactor;
  const rule =
    decision.rule === 'guarded'
      ? `Guarded acceptance: a value passes when it lies inside its tolerance by at least its expanded uncertainty U (k = ${k}), fails when it lies outside by at least as much, and is inconclusive in between. On the rulers the guard band is the paler part of the allowed band, and the whisker is ± U.`
      : `Simple acceptance: the value alone is held against its tolerance (guard band w = 0). The whisker on the rulers is the expanded uncertainty U (k = ${k}), for the reader.`;
  const legend = verdicts.map(
    (verdict) => html`<dt>${verdictLabel(verdict)}</dt><dd>${verdictMeaning[verdict]}</dd>`,
  );
  return html`<p>${rule}</p>${again !== null && html`<p>${again}</p>`}<dl class="legend">${legend}</dl>`;
}

const instrumentHeadings = [
  'instrument',
  'identity',
  'calibration',
  'calibrated',
  'due',
  'certificate',
];

export function instrumentTable(record: RunRecord): Content {
  const { shards } = record;
  if (!shards) return instrumentsOf(record.rig, 'Instruments');
  return shards.map(({ number, run, rig, lamp, startedAt, endedAt, claims }) => {
    const name = `Shard ${number} of ${shards.length}`;
    const where = `rig ${rig.name}${rig.place === '' ? '' : ` (${rig.place})`}, lamp serial ${lamp.serial}`;
    const text = `${name}: ${counted(claims.length, 'claim')} on ${where}; ${startedAt} to ${endedAt}; run ${run}.`;
    return html`<p class="shard">${text}</p>${instrumentsOf(rig, `Instruments of shard ${number}`)}`;
  });
}

function instrumentsOf({ instruments }: RunRecord['rig'], label: string): Html {
  const rows = instruments.map(instrumentRow);
  return html`<div class="instruments">${scrolling(label, table(instrumentHeadings, rows))}</div>`;
}

function instrumentRow(instrument: InstrumentRecord): Html {
  const { name, driver, simulated, identity, calibration } = instrument;
  const { state, date, due, certificate } = calibration ?? {
    state: 'not stated',
    date: '',
    due: '',
    certificate: '',
  };
  return html`
    <tr>
      <th scope="row">${name} (${simulated ? 'simulated' : driver})</th>
      <td>${identityText(identity)}</td>
      <td${state !== 'valid' && html` class="attention"`} data-name="calibration">${state}</td>
      <td data-name="calibrated">${date}</td>
      <td data-name="due">${due}</td>
      <td data-name="certificate">${certificate}</td>
    </tr>`;
}

/** What an instrument says of itself; many leave parts of it blank. */
function identityText({ maker, model, serial, firmware }: InstrumentRecord['identity']): string {
  const parts = [
    [maker, model].filter(Boolean).join(' '),
    serial && `serial ${serial}`,
    firmware && `firmware ${firmware}`,
  ];
  return parts.filter(Boolean).join(', ') || 'not stated';
}

export function identityList(record: RunRecord): Html {
  const left = leftAwayText(record);
  const { lamp, rig, harness, seed, selection, safeState, operator } = record;
  return factList([
    ['lamp file', [lamp.file, hash(lamp.digest)]],
    ['firmware', [`${lamp.firmware.name} (${lamp.firmware.kind})`, hash(lamp.firmware.digest)]],
    ...(lamp.says ?? []).map(
      ({ link, raw }) => [`the lamp says on ${link}`, raw] as [string, string],
    ),
    ['rig file', [rig.file, hash(rig.digest)]],
    ['place', rig.place],
    ...(operator ? [['operator', operator] as const] : []),
    ['ambient', `${rig.ambient} °C`],
    ...Object.entries(rig.notes),
    ['seed', seed],
    ['selected', selectedText(selection)],
    ...(left === null ? [] : [['not kept', left] as const]),
    ['harness', `Evenfall ${harness.version}, Node ${harness.node}${commitText(harness.commit)}`],
    ['started, ended', `${record.startedAt}, ${record.endedAt ?? 'not ended'} (${record.ended})`],
    ['safe state', safeStateText(safeState)],
  ]);
}

function selectedText({ paths, tags, only = [], failedIn, shard }: RunRecord['selection']): string {
  const parts = [
    ...paths,
    ...tags.map((tag) => `tag ${tag}`),
    ...only.map((claim) => `claim ${claim}`),
    ...(failedIn === undefined ? [] : [`what did not pass in run ${failedIn}`]),
    ...(shard === undefined ? [] : [`shard ${shard.number} of ${shard.of}`]),
  ];
  return parts.join(', ');
}

export function safeStateText({ confirmed, detail }: RunRecord['safeState']): string {
  return `${confirmed ? 'confirmed' : 'NOT confirmed'}: ${detail}`;
}

function commitText(commit: string | null): string {
  return commit ? `, commit ${commit.slice(0, 12)}` : '';
}

function hash(digest: string | null): Content {
  return digest && html`<code title="sha256 ${digest}"> sha256 ${digest.slice(0, 12)}…</code>`;
}

export function cautions(): Html {
  return bulletList([
    'The figures are pre-compliance: they guide development and a release decision, and they never certify. The results relate only to the lamp that was tested.',
    'Bright light and blue-light hazard: look at a lamp under test through its diffuser only (IEC 62471 grades the hazard).',
    'Light that flashes at 3 to 70 Hz can start a seizure in people with photosensitive epilepsy; run specs of that kind behind a screen.',
    'Drivers without isolation sit at mains potential, and parts get hot. Local codes and licensed practice come before anything written here.',
  ]);
}
