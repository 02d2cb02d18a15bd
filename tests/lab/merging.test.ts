import { afterEach, expect, it } from 'vitest';
import { rigAt, submitted } from './lab-files.ts';
import { OpenLab } from './open-lab.ts';

let lab: OpenLab;
afterEach(() => lab.close());

/** A submission that was being merged by a service that has died since, `ago` seconds ago. */
async function left(silence: number, ago: number): Promise<string> {
  lab = await OpenLab.open(silence);
  const dora = await lab.token('dora', 'submit');
  await rigAt(lab, 'left');
  const id = await submitted(lab, dora);
  await lab.lab.database.query(
    `update lab.submission set state = 'merging', merger = gen_random_uuid(),
       merging_at = now() - $2 * interval '1 second' where id = $1`,
    [id, ago],
  );
  return id;
}

async function stateOf(id: string): Promise<string> {
  return (await lab.lab.submissions.find(id)).state;
}

it('is taken up again when whoever merged says nothing any more', async () => {
  const id = await left(1, 5);
  // There is nothing to merge: what it ends with shows that somebody was at it.
  await expect.poll(() => stateOf(id), { timeout: 20_000 }).toBe('failed');
});

it('is left alone while somebody merges', async () => {
  const id = await left(60, 5);
  await lab.lab.leases.sweepMerges();
  await new Promise((done) => setTimeout(done, 2000));
  expect(await stateOf(id)).toBe('merging');
});

it('is one service’s alone', async () => {
  const id = await left(60, 120);
  const rows = async () =>
    lab.lab.database.query<{ merger: string }>('select merger from lab.submission where id = $1', [
      id,
    ]);
  const [before] = await rows();
  await lab.lab.leases.sweepMerges();
  await lab.lab.leases.sweepMerges();
  const jobs = await lab.lab.database.query(`select id from lab_queue.job where name = 'merge'`);
  // The second look finds that somebody was called already.
  expect(jobs).toHaveLength(1);
  await expect.poll(() => stateOf(id), { timeout: 20_000 }).toBe('failed');
  expect((await rows())[0]?.merger).not.toBe(before?.merger);
});

it('is not ended by who lost it to another service meanwhile', async () => {
  const id = await left(60, 120);
  // Somebody else takes it up right after this service has begun.
  for (const statement of [
    `create function lab.take_up() returns trigger language plpgsql as
       'begin new.merger := gen_random_uuid(); return new; end'`,
    `create trigger take_up before update of run on lab.submission
       for each row execute function lab.take_up()`,
  ])
    await lab.lab.database.query(statement);
  await lab.lab.leases.sweepMerges();
  const jobs = () =>
    lab.lab.database.query<{ state: string }>(
      `select state::text from lab_queue.job where name = 'merge'`,
    );
  await expect.poll(jobs, { timeout: 20_000 }).toEqual([{ state: 'completed' }]);
  expect(await stateOf(id)).toBe('merging');
});
