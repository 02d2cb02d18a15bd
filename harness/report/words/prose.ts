/** `1 claim`, `3 claims`. */
export function counted(count: number, noun: string): string {
  return `${count} ${noun}${count === 1 ? '' : 's'}`;
}

export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** `24 November 2026, 18:03 UTC` */
export function dateText(instant: string): string {
  const [day = '', time = ''] = instant.split('T');
  const [year = '', month = '', date = ''] = day.split('-');
  return `${Number(date)} ${months[Number(month) - 1] ?? month} ${year}, ${time.slice(0, 5)} UTC`;
}

const months =
  'January February March April May June July August September October November December'.split(
    ' ',
  );

/** A simulated rig is always named as such, but not twice. */
export function rigText({ name, simulated }: { name: string; simulated: boolean }): string {
  return simulated && !/simulat/i.test(name) ? `${name} (simulated)` : name;
}

/** `repeat 2` for the second turn of a condition; nothing for the first. */
export function repeatText(repeat: number): string {
  return repeat > 0 ? `repeat ${repeat + 1}` : '';
}

/** Figures keep to one line together with their unit, unless they are a sentence. */
export function unbroken(text: string): string {
  return text.length <= 26 && /\d/.test(text) ? text.replaceAll(' ', '\u00a0') : text;
}

/** Every figure stays on one line with what follows it, such as its unit. */
export function unitsKept(text: string): string {
  return text.replace(/(\d) (?=\S)/g, '$1\u00a0');
}
