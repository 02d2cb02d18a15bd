/** A connection that fails is tried again after this, ms, where the browser has given it up. */
const retry = 3000;
/** After this long without an event, ms, the server is asked again: a connection can break without a word. */
const quiet = 30_000;
/** Whoever is asked has to answer within this, ms. */
const patience = 10_000;

export interface Follower {
  /** The data of an event. */
  told(data: string): void;
  /** The server does not answer; called once until it does. */
  lost(): void;
}

/** Follows the events of that name from an address for as long as the page is open. The server sends one to whoever connects. */
export function followEvents(address: string, name: string, follower: Follower): void {
  let source: EventSource;
  let isLost = false;
  let again: ReturnType<typeof setTimeout>;
  let overdue: ReturnType<typeof setTimeout>;

  const lose = (): void => {
    if (!isLost) follower.lost();
    isLost = true;
  };
  const ask = (): void => {
    source?.close();
    source = new EventSource(address);
    source.addEventListener(name, ({ data }: MessageEvent<string>) => {
      isLost = false;
      clearTimeout(overdue);
      askAfter(quiet);
      follower.told(data);
    });
    source.addEventListener('error', () => {
      lose();
      if (source.readyState === EventSource.CLOSED) askAfter(retry);
    });
    clearTimeout(overdue);
    overdue = setTimeout(lose, patience);
    askAfter(quiet);
  };
  const askAfter = (time: number): void => {
    clearTimeout(again);
    again = setTimeout(ask, time);
  };
  ask();
}
