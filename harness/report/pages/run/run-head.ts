import { diagnose } from '../../../diagnose/diagnose.ts';
import { benchBrokenText } from '../../../record/bench-after.ts';
import type { RunRecord, SpecRecord } from '../../../record/run-record.ts';
import { standsOpen, type Verdict } from '../../../verdict/verdict.ts';
import { type Content, type Html, html } from '../../html/html.ts';
import { verdictClass, verdictLabel } from '../../pictures/verdict-shape.ts';
import { deviationTexts, placeText } from '../../words/finding-words.ts';
import { capital, counted, dateText, unbroken } from '../../words/prose.ts';
import { quarantineText } from '../../words/quarantine-words.ts';
import { timeText, valueText } from '../../words/value-text.ts';
import { verdictMeaning, verdicts } from '../../words/verdict-words.ts';
import { claimReason, claimsWorstFirst, findingsWorstFirst } from '../../words/worst-first.ts';
import { claimId } from './claim-line.ts';
import { diagnosisBlock } from './diagnosis-block.ts';
import { worstPicture } from './worst-picture.ts';

/** What was tested, where, when, and how it ended, in a few lines of prose. */
export function runHead(record: RunRecord): Html {
  const { lamp, rig, startedAt, seed } = record;
  const diagnosis = diagnose(record);
  const where = rig.simulated ? `${rig.name} (simulated instruments, seed ${seed})` : rig.name;
  return html`
    <header>
      <p class="maker">${lamp.maker}</p>
      <h1>${lamp.name}, build ${lamp.build}</h1>
      <p class="where">${`${dateText(startedAt)}. Rig: ${where}. Lamp serial: ${lamp.serial}. Firmware: ${lamp.firmware.name}.`}</p>
      <p class="run-id">Run ${record.id}</p>
      ${outcomeSentence(record)}
      ${diagnosis && diagnosisBlock(diagnosis, record)}
      ${worstPicture(record, diagnosis)}
      ${exceptions(record)}
      <ul class="remarks">${remarks(record)}</ul>
    </header>`;
}

function outcomeSentence(record: RunRecord): Html {
  const { specs, decision, totals, verdict } = record;
  const told = benchBrokenText(record) === null ? '' : 'Not proved. As measured: ';
  const findings = Object.values(totals.findings).reduce((sum, count) => sum + count, 0);
  const rest = `${counted(findings, 'finding')}, ${decision.rule} decision rule with k = ${decision.coverageFactor}, ${timeText(totals.lampTime)} of lamp time.`;
  return html`
    <p class="outcome ${verdictClass(verdict)}"><strong>${told}${holdText(specs)}</strong> ${rest}</p>`;
}

/** How many claims hold, in a sentence. */
export function holdText(specs: readonly SpecRecord[]): string {
  const holds = count(specs, 'pass');
  const beside = count(specs, 'not applicable');
  const meant = specs.length - beside;
  const rest =
    beside === 0
      ? ''
      : ` ${counted(beside, 'more claim')} ${beside === 1 ? 'does' : 'do'} not apply to this lamp.`;
  if (holds === 1 && meant === 1) return `The one claim holds.${rest}`;
  return holds === meant && holds > 0
    ? `All ${holds} claims hold.${rest}`
    : `${holds} of ${counted(meant, 'claim')} hold.${rest}`;
}

/** Everything that did not pass, the worst first, as links: the first thing that a reader looks for. */
function exceptions(record: RunRecord): Html | null {
  const claims = claimsWorstFirst(record).filter(standsOpen);
  if (claims.length === 0) return null;
  const items = claims.map(
    (spec) => html`
      <li>
        ${verdictLabel(spec.verdict)}
        <div><a href="#${claimId(spec)}">${spec.claim}</a><p>${[worstText(spec), quarantineText(spec)].filter(Boolean).join('. ')}</p></div>
      </li>`,
  );
  return html`<ul class="exceptions" aria-label="Claims that did not pass">${items}</ul>`;
}

/** Beside the link, so that one look tells what is wrong and by how much. */
function worstText(spec: SpecRecord): string | null {
  const [worst] = findingsWorstFirst(spec);
  if (!worst) return claimReason(spec);
  const { finding } = worst;
  return `${placeText(worst)}: ${finding.title} ${unbroken(valueText(finding))}, allowed ${unbroken(finding.limits.text)}`;
}

function remarks({ ended, deviations, safeState, faults, follows }: RunRecord): Content {
  return [
    ended !== 'complete' && remark('Not complete', `The run ended ${ended}.`),
    !safeState.confirmed && remark('Safe state not confirmed', safeState.detail),
    faults.map(({ fault, size }) => remark('Seeded fault', `${fault}, size ${size}.`)),
    follows.map(({ id, how }) => remark('Follows', `This run ${how} ${id}.`)),
    deviationTexts(deviations).map(({ kind, text }) => remark(capital(kind), text)),
  ];
}

function remark(name: string, text: string): Html {
  return html`<li><b>${name}. </b>${text}</li>`;
}

function count(specs: readonly SpecRecord[], verdict: Verdict): number {
  return specs.filter((spec) => spec.verdict === verdict).length;
}

/** Search and filters. They work with the page's script only, so the script uncovers them. */
export function filterBar({ specs, lamp }: RunRecord): Html {
  const present = verdicts.filter((verdict) => count(specs, verdict) > 0);
  const buttons = present.map(
    (verdict) => html`
      <button type="button" data-verdict="${verdict}" aria-pressed="false" title="${verdictMeaning[verdict]}">
        ${verdictLabel(verdict)}
        <span class="count">${count(specs, verdict)}</span>
      </button>`,
  );
  const channels = lamp.channels.map(({ channel }) => channel);
  const tags = sorted(specs.flatMap((spec) => spec.tags));
  const requirements = sorted(specs.flatMap((spec) => spec.traces));
  return html`
    <form class="filters" role="search" hidden>
      <div class="verdicts" role="group" aria-label="Show only these verdicts">${buttons}</div>
      <div class="fields">
        <label class="search">
          <span>Search</span>
          <input type="search" name="search" placeholder="a word from a claim, metric or reason" autocomplete="off" aria-keyshortcuts="/">
        </label>
        ${choice('channel', 'Channel', channels)}
        ${choice('tag', 'Tag', tags)}
        ${choice('requirement', 'Requirement', requirements)}
      </div>
      <p class="shown" role="status"></p>
    </form>`;
}

function choice(name: string, label: string, options: readonly string[]): Html | null {
  if (options.length === 0) return null;
  return html`
    <label>
      <span>${label}</span>
      <select name="${name}">
        <option value="">any</option>
        ${options.map((option) => html`<option value="${option}">${option}</option>`)}
      </select>
    </label>`;
}

function sorted(values: readonly string[]): string[] {
  return [...new Set(values)].sort((a, b) => a.localeCompare(b, 'en', { numeric: true }));
}
