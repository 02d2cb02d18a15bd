/**
 * The value that would stand at `place` (from 0) were the values sorted ascending; they are put in another order. Takes
 * time in proportion to their number. Values are numbers, none NaN.
 *
 * Source: Hoare, "Algorithm 65: Find", Communications of the ACM 4(7), 1961.
 */
export function quickselect(values: Float64Array, place: number): number {
  let left = 0;
  let right = values.length - 1;
  while (left < right) {
    const pivot = values[place]!;
    let i = left;
    let j = right;
    while (i <= j) {
      while (values[i]! < pivot) i++;
      while (values[j]! > pivot) j--;
      if (i > j) break;
      const swapped = values[i]!;
      values[i] = values[j]!;
      values[j] = swapped;
      i++;
      j--;
    }
    if (j < place) left = i;
    if (place < i) right = j;
  }
  return values[place]!;
}
