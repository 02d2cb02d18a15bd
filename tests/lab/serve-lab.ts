import { createInterface } from 'node:readline';
import { setTimeout as wait } from 'node:timers/promises';
import { later } from './later.ts';
import { OpenLab } from './open-lab.ts';

/**
 * A lab's service as a process that can be killed: `serve-lab.ts FOLDER PORT DAYS [DATABASE]`. Before it listens, DAYS pass. It prints a line of
 * JSON with its address, and one for each word that it reads: `token NAME ROLE` a token, `clear` what it cleared, and `clear on`
 * nothing, as it then clears without an end.
 */
const [folder = '', port = '0', days = '0', database] = process.argv.slice(2);
const lab = await OpenLab.open(60, null, null, database, folder);
await later(lab, Number(days));
say({ url: await lab.listen(Number(port)) });

for await (const line of createInterface(process.stdin)) {
  const [word, name = '', role = 'submit'] = line.split(' ');
  if (word === 'token') say({ token: await lab.token(name, role as 'submit' | 'run') });
  else if (name === 'on') void clearOn();
  else {
    // One that the queue began may have looked before.
    await lab.lab.clearing?.run();
    say(await lab.lab.clearing?.run());
  }
}

async function clearOn(): Promise<never> {
  for (;;) {
    await lab.lab.clearing?.run();
    await wait(20);
  }
}

function say(what: unknown): void {
  process.stdout.write(`${JSON.stringify(what ?? null)}\n`);
}
