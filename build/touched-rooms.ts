/** Folders of tests that mirror the rooms of the changed files: `harness/verdict/judge.ts` → `tests/verdict/`. */
export function touchedRooms(changed: readonly string[]): string[] {
  const folders = changed.flatMap((file) => {
    const [place, room = '', inside] = file.split('/');
    if (inside === undefined) return [];
    if (place === 'harness' || place === 'tests') return [`tests/${room}/`];
    return place === 'drivers' ? [`tests/drivers/${room}/`] : [];
  });
  return [...new Set(folders)].sort();
}
