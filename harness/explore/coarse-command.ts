/** Words for a message as a record holds them, without its figures and its instant: those of one cause are then mostly alike. */
export function coarseCommand(words: string): string {
  const plain = words.replace(/ at [\d.]+ s$/, '');
  const console = /^console “(\S+)/.exec(plain)?.[1];
  if (console !== undefined) return `console ${console.replace(/[\d.]+/g, '#').replace(/”$/, '')}`;
  const level = /^DALI ([0-9A-F][02468ACE]) [0-9A-F]{2}$/.exec(plain)?.[1];
  if (level !== undefined) return `DALI ${level} level`;
  if (plain.startsWith('DMX512'))
    return /^DMX512 (start code|stopped)/.test(plain) ? plain.replace(/ \d.*/, '') : 'DMX512';
  return plain.startsWith('DALI ') ? plain : plain.replace(/[\d.]+/g, '#');
}
