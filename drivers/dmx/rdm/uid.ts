/** Unique id of a device on an RDM line: 48 bits, 16 of its maker and 32 of its own (ANSI E1.20-2010 5.1). */
export type Uid = number;

export const lowestUid: Uid = 0;
/** Everything above is a broadcast. */
export const highestUid: Uid = 2 ** 48 - 2;
export const everybody: Uid = 2 ** 48 - 1;
const ofMaker = 2 ** 32;

export function uidOf(maker: number, device: number): Uid {
  return maker * ofMaker + device;
}

/** All devices, or all of one maker. */
export function isBroadcast(uid: Uid): boolean {
  return uid % ofMaker === ofMaker - 1;
}

/** Whether a message to `to` is for the device with this id. */
export function isFor(to: Uid, own: Uid): boolean {
  if (to === own || to === everybody) return true;
  return isBroadcast(to) && Math.floor(to / ofMaker) === Math.floor(own / ofMaker);
}

export function uidBytes(uid: Uid): number[] {
  return [5, 4, 3, 2, 1, 0].map((place) => Math.floor(uid / 256 ** place) % 256);
}

export function uidIn(bytes: ArrayLike<number>, at: number): Uid {
  let uid = 0;
  for (let index = 0; index < 6; index++) uid = 256 * uid + (bytes[at + index] ?? 0);
  return uid;
}

/** `7ff0:0000002a` */
export function uidText(uid: Uid): string {
  const digits = uid.toString(16).padStart(12, '0');
  return `${digits.slice(0, 4)}:${digits.slice(4)}`;
}
