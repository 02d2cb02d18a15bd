/** Answers of a status query, and what they mean. */
interface Status {
  readonly none: readonly string[];
  readonly bits?: Readonly<Record<string, string>> | undefined;
}

/** What a status says has acted, in words; null where the profile names bits and the answer is no whole number. */
export function protectionsIn(answer: string, { none, bits }: Status): readonly string[] | null {
  if (none.includes(answer)) return [];
  if (!bits) return answer === '' ? null : [answer.slice(0, 60)];
  if (!/^\+?\d{1,10}$/.test(answer)) return null;
  const status = Number(answer);
  const set = Array.from({ length: 32 }, (_, bit) => bit).filter(
    (bit) => Math.floor(status / 2 ** bit) % 2 === 1,
  );
  return set.map((bit) => bits[String(bit)] ?? `bit ${bit} of its status`);
}
