import { afterEach, expect, it } from 'vitest';
import { rigAt, submitted } from './lab-files.ts';
import { OpenLab } from './open-lab.ts';

let lab: OpenLab;
afterEach(() => lab.close());

async function queues(): Promise<readonly string[]> {
  const rows = await lab.lab.database.query<{ name: string }>(
    `select name from lab_queue.queue where name like 'shards-%' order by name`,
  );
  return rows.map(({ name }) => name);
}

it('are taken away after their submission, whoever was cut off in that', async () => {
  lab = await OpenLab.open(1);
  const dora = await lab.token('dora', 'submit');
  await rigAt(lab, 'left');
  const [waits, ended] = [await submitted(lab, dora), await submitted(lab, dora)];
  expect(await queues()).toHaveLength(2);
  // As a service leaves it that dies right after the end is stored.
  await lab.lab.database.query(`update lab.submission set state = 'failed' where id = $1`, [ended]);
  await expect.poll(queues, { timeout: 20_000 }).toHaveLength(1);
  expect((await queues())[0]).toContain(waits);
  // The other's shard waits on.
  expect(await lab.lab.leases.take('left')).toMatchObject({ submission: waits });
});

it('are taken away where no submission was stored for a day', async () => {
  lab = await OpenLab.open(1);
  const old = 'shards-00000000-0000-4000-8000-000000000000-0a1b2c3d';
  const fresh = 'shards-11111111-1111-4111-8111-111111111111-0a1b2c3d';
  for (const name of [old, fresh])
    await lab.lab.database.query('select lab_queue.create_queue($1, $2)', [
      name,
      JSON.stringify({ policy: 'standard', retryLimit: 1 }),
    ]);
  await lab.lab.database.query(
    `update lab_queue.queue set created_on = now() - interval '25 hours' where name = $1`,
    [old],
  );
  await expect.poll(queues, { timeout: 20_000 }).toEqual([fresh]);
  expect(lab.errors).toEqual([]);
});
