import { type Content, type Html, html } from '../../html/html.ts';
import { bulletList } from '../../html/table.ts';

/** One signature over the run, as its verified statement tells it. */
export interface Signature {
  readonly name: string;
  readonly signedAt: string;
  readonly meaning: string;
  readonly decision: string;
  /** Id of the key that signed. */
  readonly key: string;
  readonly waivers: readonly {
    readonly claim: string;
    readonly verdict: string;
    readonly reason: string;
  }[];
}

/** Who signed, with what meaning and waivers; a line to sign on where nobody did. */
export function authorisation(
  signatures: readonly Signature[],
  doubts: readonly string[],
): Content {
  if (doubts.length > 0)
    return html`
      <p>This run has sign-offs, but the given keys do not verify them:</p>
      ${bulletList(doubts)}`;
  if (signatures.length === 0)
    return html`
      <p>Not signed. Name, date and signature of the person who authorises this report:</p>
      <p class="signature-line"></p>`;
  return signatures.map(signatureNote);
}

function signatureNote({ name, signedAt, meaning, decision, key, waivers }: Signature): Html {
  const waived = waivers.map(
    ({ claim, verdict, reason }) => `Waived: ${claim} (${verdict}). ${reason}`,
  );
  return html`
    <div class="signature">
      <p><b>${name}</b>, ${signedAt}. Meaning: ${meaning}. Decision: ${decision}.</p>
      <p class="facts-line">signed with the key <code>${key}</code></p>
      ${waived.length > 0 && bulletList(waived)}
    </div>`;
}
