import { driverSettings } from '../../../drivers/registry.ts';
import type { Lamp } from '../../bench/lamp.ts';
import type { Rig } from '../../bench/rig.ts';
import { readRig } from '../../bench/rig-file.ts';
import { BadFiles } from '../../workflow/inputs/bad-files.ts';
import { isSimulated } from '../../workflow/inputs/read-bench.ts';
import { programDigest } from '../../workflow/running/program-digest.ts';
import { harnessVersion } from '../../workflow/version.ts';
import type { Database, Row } from '../database/database.ts';
import type { Registration } from '../protocol.ts';
import { Refusal } from '../refusal.ts';
import { readRigText } from '../submissions/read-submission.ts';
import type { Candidate } from '../submissions/split.ts';

export interface RigRow extends Row {
  readonly name: string;
  readonly file: string;
  readonly text: string;
  readonly digest: string;
  /** The only kind of lamp that can be put on it; null where it takes any. */
  readonly lamp: string | null;
  readonly simulated: boolean;
  readonly place: string;
  readonly program: string;
  readonly heard_at: Date;
}

/** The rigs of a lab, each as it said it is when its program started. */
export class Rigs {
  readonly #database: Database;

  constructor(database: Database) {
    this.#database = database;
  }

  /** Rejects with BadFiles where the rig file has a mistake in it. */
  async register(name: string, registration: Registration, digest: string): Promise<void> {
    const { file, text, lamp, version } = registration;
    const read = readRig(text, file, driverSettings);
    if (!('rig' in read)) throw new BadFiles(read.issues, 'the rig was not registered');
    const { rig } = read;
    mustBeOfThisProgram(registration, isSimulated(rig));
    await this.#database.query(
      `insert into lab.rig (name, file, text, digest, lamp, simulated, place, program)
       values ($1, $2, $3, $4, $5, $6, $7, $8)
       on conflict (name) do update set file = $2, text = $3, digest = $4, lamp = $5, simulated = $6, place = $7,
         program = $8, registered_at = now(), heard_at = now()`,
      [name, file, text, digest, lamp, isSimulated(rig), rig.place, version],
    );
  }

  /** Rejects with a Refusal where no rig of this name has registered. */
  async find(name: string): Promise<RigRow> {
    const [found] = await this.#database.query<RigRow>('select * from lab.rig where name = $1', [
      name,
    ]);
    if (found) return found;
    throw new Refusal('not-found', `no rig ${name} has registered here`);
  }

  async heard(name: string): Promise<void> {
    await this.#database.query('update lab.rig set heard_at = now() where name = $1', [name]);
  }

  /** All whose token still counts. */
  async list(): Promise<readonly RigRow[]> {
    return this.#database.query<RigRow>(
      `select rig.* from lab.rig join lab.holder using (name) where revoked_at is null order by name`,
    );
  }

  /** Rigs that a lamp can be judged on. */
  async candidates(lamp: Lamp, simulated: boolean): Promise<readonly Candidate[]> {
    const rows = await this.list();
    // Simulated rigs have one file, most of them: it is read once.
    const read = new Map<string, Rig>();
    return rows
      .filter((row) => row.simulated === simulated && takesLamp(row, lamp.lamp))
      .map(({ name, text, file }) => {
        const rig = read.get(text) ?? readRigText(text, file, lamp);
        read.set(text, rig);
        return { name, rig };
      });
  }
}

/** Else its runs could not be merged with those of others. */
function mustBeOfThisProgram({ version, code }: Registration, simulated: boolean): void {
  if (version !== harnessVersion)
    throw new Refusal(
      'conflict',
      `expected a rig with version ${harnessVersion} of Evenfall, as the lab has, found ${version}; install that one`,
    );
  if (simulated && code !== programDigest())
    throw new Refusal(
      'conflict',
      'expected a simulated rig with the same code as the lab (and the same Node), found other code: their results could differ',
    );
}

export function takesLamp({ lamp }: Pick<RigRow, 'lamp'>, name: string): boolean {
  return lamp === null || lamp === name;
}
