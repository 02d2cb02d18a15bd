import { valueAt } from './samples.ts';

/**
 * Median of the values around each place, `half` of them on either side; towards the ends as many as there are on both
 * sides. Of values that only rise, or only fall, it is the value itself: edges and slopes stay as they are, and what takes less
 * than half of the window disappears.
 */
export function slidingMedian(values: Float64Array, half: number): Float64Array {
  const sorted = new SortedWindow(2 * half + 1);
  let [first, next] = [0, 0];
  return values.map((_, place) => {
    const reach = Math.min(half, place, values.length - 1 - place);
    while (next <= place + reach) sorted.add(valueAt(values, next++));
    while (first < place - reach) sorted.remove(valueAt(values, first++));
    return sorted.middle;
  });
}

class SortedWindow {
  private readonly sorted: Float64Array;
  private count = 0;

  /** One place more than a window has: a value comes before another goes. */
  constructor(longest: number) {
    this.sorted = new Float64Array(longest + 2);
  }

  get middle(): number {
    return valueAt(this.sorted, this.count >> 1);
  }

  add(value: number): void {
    const place = this.placeOf(value);
    this.sorted.copyWithin(place + 1, place, this.count++);
    this.sorted[place] = value;
  }

  remove(value: number): void {
    const place = this.placeOf(value);
    this.sorted.copyWithin(place, place + 1, this.count--);
  }

  /** Of the first one that is not smaller. */
  private placeOf(value: number): number {
    let [from, to] = [0, this.count];
    while (from < to) {
      const middle = (from + to) >> 1;
      if (valueAt(this.sorted, middle) < value) from = middle + 1;
      else to = middle;
    }
    return from;
  }
}
