interface Entry<T> {
  readonly at: number;
  readonly order: number;
  readonly event: T;
}

/** Events of the simulation in order of instant, then of arrival (binary heap). */
export class EventQueue<T> {
  private readonly heap: Entry<T>[] = [];
  private orders = 0;

  /** Instant of the next event, infinite when there is none. */
  get next(): number {
    return this.heap[0]?.at ?? Number.POSITIVE_INFINITY;
  }

  push(at: number, event: T): void {
    const { heap } = this;
    const entry = { at, order: this.orders++, event };
    let index = heap.push(entry) - 1;
    while (index > 0) {
      const parent = (index - 1) >> 1;
      const above = heap[parent];
      if (!above || !before(entry, above)) break;
      heap[index] = above;
      index = parent;
    }
    heap[index] = entry;
  }

  pop(): { readonly at: number; readonly event: T } | undefined {
    const { heap } = this;
    const first = heap[0];
    const last = heap.pop();
    if (!first || !last || heap.length === 0) return first;
    let index = 0;
    for (;;) {
      const child = this.firstChild(index);
      const below = heap[child];
      if (!below || !before(below, last)) break;
      heap[index] = below;
      index = child;
    }
    heap[index] = last;
    return first;
  }

  /** Index of the child that comes first; beyond the heap where there is none. */
  private firstChild(index: number): number {
    const left = this.heap[2 * index + 1];
    const right = this.heap[2 * index + 2];
    return left && right && before(right, left) ? 2 * index + 2 : 2 * index + 1;
  }
}

function before<T>(a: Entry<T>, b: Entry<T>): boolean {
  return a.at < b.at || (a.at === b.at && a.order < b.order);
}
