import { isMet, type Missing, median, type Row, ratioOf } from './row.ts';

/** The rows as text: minimum, median and maximum of each, its yardstick, the ratio and the goal. */
export function tableText(rows: readonly (Row | Missing)[]): string {
  const lines = rows.map((row) => {
    if ('missing' in row) return `${row.name}\n    not measured: ${row.missing}`;
    const { name, unit, figures, yardstick, beside, kind, goal, note } = row;
    const sign = kind === 'speed' ? 'times as fast as' : 'times';
    const met = isMet(row);
    const wanted =
      goal === null
        ? ''
        : `, goal ${kind === 'speed' ? '>=' : '<='} ${goal}: ${met ? 'met' : 'NOT met'}`;
    return [
      name,
      `    ${span(figures, unit)} beside ${yardstick} ${span(beside, unit)}`,
      `    ${Number(ratioOf(row).toPrecision(3))} ${sign} its yardstick${wanted}`,
      ...(note ? [`    ${note}`] : []),
    ].join('\n');
  });
  return `${lines.join('\n')}\n`;
}

function span(values: readonly number[], unit: Row['unit']): string {
  const show = (value: number): string => value.toPrecision(3);
  const [least, most] = [Math.min(...values), Math.max(...values)];
  return least === most
    ? `${show(least)} ${unit}`
    : `${show(least)} / ${show(median(values))} / ${show(most)} ${unit}`;
}

export function tableJson(rows: readonly (Row | Missing)[]): string {
  const shown = rows.map((row) =>
    'missing' in row
      ? { name: row.name, missing: row.missing }
      : {
          name: row.name,
          median: median(row.figures),
          yardstick: median(row.beside),
          ratio: ratioOf(row),
          goal: row.goal,
          met: isMet(row),
        },
  );
  return `${JSON.stringify({ rows: shown }, null, 2)}\n`;
}
