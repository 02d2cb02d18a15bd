/** The least and the largest part of the intervals value ± U that held the truth, %, over all disturbances of a scene. */
export interface CoverageRow {
  readonly scene: string;
  readonly least: number;
  readonly most: number;
}

/** The rows of `harness/verdict/COVERAGE.md` by the metric's id; a metric may have several scenes. */
export function coverageRows(table: string): ReadonlyMap<string, readonly CoverageRow[]> {
  const rows = new Map<string, CoverageRow[]>();
  for (const line of table.split('\n')) {
    const [scene = '', ...cells] = line
      .split('|')
      .slice(1, -1)
      .map((cell) => cell.trim());
    const held = cells.flatMap((cell) => /^(\d+) \//.exec(cell)?.[1] ?? []).map(Number);
    if (held.length === 0) continue;
    const id = scene.split(' ')[0] ?? '';
    const row = { scene, least: Math.min(...held), most: Math.max(...held) };
    rows.set(id, [...(rows.get(id) ?? []), row]);
  }
  return rows;
}
