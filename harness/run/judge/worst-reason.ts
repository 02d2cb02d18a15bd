import type { Finding } from '../../record/run-record.ts';
import type { Verdict } from '../../verdict/verdict.ts';

export function worstReason(findings: readonly Finding[], verdict: Verdict): string | null {
  return findings.find((finding) => finding.verdict === verdict)?.reason ?? null;
}
