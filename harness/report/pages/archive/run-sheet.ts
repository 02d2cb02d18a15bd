import { plainLine } from '../../../files/plain-text.ts';
import { artificialTexts } from '../../../record/artificial.ts';
import type { RunRecord, SpecRecord } from '../../../record/run-record.ts';
import { standsOpen } from '../../../verdict/verdict.ts';
import { type Html, html } from '../../html/html.ts';
import { scrolling, table } from '../../html/table.ts';
import { verdictLabel } from '../../pictures/verdict-shape.ts';
import { capital, dateText, rigText } from '../../words/prose.ts';
import { claimsWorstFirst } from '../../words/worst-first.ts';
import { claimId } from '../run/claim-line.ts';
import { holdText } from '../run/run-head.ts';
import { runHref } from './run-list.ts';
import { type CheckedSeal, sealSection } from './seal.ts';

export interface RunSheet {
  readonly folder: string;
  readonly record: RunRecord;
  readonly seal: CheckedSeal;
  /** Files of the manifest. */
  readonly files: readonly SealedFile[];
  /** The run before this one of the same lamp, to compare with. */
  readonly before: {
    readonly folder: string;
    readonly build: string;
    readonly started: string;
  } | null;
}

interface SealedFile {
  readonly file: string;
  readonly bytes: number;
  readonly sha256: string;
}

/** A line under the heading: when, on what. */
export function whereText({ startedAt, rig, lamp, operator }: RunRecord): string {
  const by = operator === undefined ? '' : ` Operator: ${operator}.`;
  return `${dateText(startedAt)}. Rig: ${rigText(rig)}. Lamp serial: ${lamp.serial}.${by}`;
}

/** What a finished run is, what did not hold, whether its files are sound, and the ways on from here. */
export function runSheet(sheet: RunSheet): Html {
  const { folder, record, seal, files } = sheet;
  return html`
    <p class="run-id">Run ${record.id}</p>
    ${outcome(record)}
    ${waysOn(sheet)}
    ${openClaims(folder, record, hasPage(sheet))}
    <section><h2>Seal and signatures</h2>${sealSection(seal)}</section>
    <section><h2>Files</h2>${fileList(folder, files)}</section>`;
}

function hasPage({ files }: RunSheet): boolean {
  return files.some(({ file }) => file === 'index.html');
}

function waysOn(sheet: RunSheet): Html {
  const { folder, before } = sheet;
  const press = (href: string, words: string) => html`<a class="press" href="${href}">${words}</a>`;
  const compare = before && {
    href: `/compare?a=${encodeURIComponent(before.folder)}&b=${encodeURIComponent(folder)}`,
    words: `Compare with build ${before.build} of ${before.started.slice(0, 10)}`,
  };
  return html`
    <p class="ways">
      ${hasPage(sheet) && press(runHref(folder, 'page'), 'Open the run page')}
      ${press(runHref(folder, 'sign'), 'Sign a decision')}
      ${compare && press(compare.href, plainLine(compare.words))}
    </p>`;
}

/** How it ended, and what a reader must not miss. */
export function outcome(record: RunRecord): Html {
  const { specs, verdict, ended, faults } = record;
  const artificial = artificialTexts(record).join('; ');
  return html`
    <p class="lead">
      ${verdictLabel(verdict)} <strong>${holdText(specs)}</strong>
      ${ended !== 'complete' && ` The run ended ${ended}.`}
      ${artificial !== '' && html`<span class="artificial">${artificial}</span>`}
      ${faults.length > 0 && ' Such a run says nothing about the lamp.'}
    </p>`;
}

function openClaims(folder: string, record: RunRecord, isLinked: boolean): Html | null {
  const open = claimsWorstFirst(record).filter(standsOpen);
  if (open.length === 0) return null;
  const rows = open.map((spec) => {
    const href = `${runHref(folder, 'page')}#${claimId(spec)}`;
    const claim = plainLine(spec.claim);
    return html`
      <li class="row">
        <div class="margin">${verdictLabel(spec.verdict)}</div>
        <div>
          ${isLinked ? html`<a href="${href}">${claim}</a>` : claim}
          <p class="aside">${plainLine(`${spec.spec}${reasonOf(spec)}`)}</p>
        </div>
      </li>`;
  });
  return html`<section><h2>Claims that do not hold</h2><ul class="rows">${rows}</ul></section>`;
}

/** Why, from the claim itself or from its first finding of that verdict. */
function reasonOf(spec: SpecRecord): string {
  const findings = spec.conditions.flatMap((condition) => condition.findings);
  const worst = findings.find(({ verdict }) => verdict === spec.verdict);
  const condition = spec.conditions.find(({ verdict }) => verdict === spec.verdict);
  const reason = spec.reason ?? worst?.reason ?? condition?.reason;
  return reason ? `: ${capital(reason)}` : '';
}

function fileList(folder: string, files: readonly SealedFile[]): Html {
  const rows = files.map(({ file, bytes, sha256 }) => {
    const href = runHref(folder, `files/${file.split('/').map(encodeURIComponent).join('/')}`);
    return html`
      <tr>
        <th scope="row"><a href="${href}">${file}</a></th>
        <td>${bytes} B</td>
        <td><code>${sha256.slice(0, 16)}…</code></td>
      </tr>`;
  });
  return html`
    <details class="capture">
      <summary>${files.length} files with their hashes</summary>
      ${scrolling('files', table(['File', 'Size', 'SHA-256'], rows))}
    </details>`;
}
