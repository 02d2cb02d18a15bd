/** Events of the simulation in order of instant, then of arrival (binary heap). */
export class EventQueue<T> {
  private readonly heap: { readonly at: number; readonly order: number; readonly event: T }[] = [];
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
      if (!before(entry, heap[parent]!)) break;
      heap[index] = heap[parent]!;
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
      let child = 2 * index + 1;
      if (child >= heap.length) break;
      if (child + 1 < heap.length && before(heap[child + 1]!, heap[child]!)) child++;
      if (!before(heap[child]!, last)) break;
      heap[index] = heap[child]!;
      index = child;
    }
    heap[index] = last;
    return first;
  }
}

function before(
  a: { readonly at: number; readonly order: number },
  b: { readonly at: number; readonly order: number },
): boolean {
  return a.at < b.at || (a.at === b.at && a.order < b.order);
}
