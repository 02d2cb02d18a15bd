import { describe, expect, it } from 'vitest';
import { createRunFolder } from '../../../harness/archive/run-folder.ts';
import type { RunRecord } from '../../../harness/record/run-record.ts';
import { findResumedRun } from '../../../harness/workflow/running/resume-run.ts';
import { headerOf, sampleRecord, sampleSpec } from '../../record/sample-record.ts';
import { scratchFolders } from '../scratch.ts';

const scratch = scratchFolders();
const says = {
  ...{ link: 'console', maker: 'Halden Display Lighting', model: 'Alcove-6' },
  ...{ serial: 'A6-00017', firmware: '1.4.2', raw: 'id' },
};
const calibration = {
  ...{ date: '2026-01-10', due: '2027-01-10', certificate: 'HDL-D-118' },
  state: 'valid' as const,
};

/** A run on a rig that was cut off. */
function cutOff(): RunRecord {
  const record = headerOf(sampleRecord({ specs: [sampleSpec('a', [])], operator: 'Nele' }));
  const { lamp, rig } = record;
  const digitiser = {
    ...{ name: 'digitiser', driver: 'scpi-scope', simulated: false, calibration },
    identity: { maker: 'Halden', model: 'D1', serial: '41', firmware: '2' },
  };
  return { ...record, lamp: { ...lamp, says: [says] }, rig: { ...rig, instruments: [digitiser] } };
}

async function resumed(change: (draft: RunRecord) => void) {
  const root = scratch();
  const record = cutOff();
  const folder = await createRunFolder(root, record);
  await folder.close();
  const draft = structuredClone(record);
  change(draft);
  const found = await findResumedRun(root, record.id, draft);
  await found.folder?.close();
  return found;
}

describe('a run that is resumed', () => {
  it('goes on where everything is as it was, whatever the day', async () => {
    const { record } = await resumed((draft) => {
      draft.startedAt = '2026-04-01T00:00:00Z';
      for (const one of draft.rig.instruments) one.calibration!.state = 'due soon';
      draft.lamp.says![0]!.raw = 'id, up 12 s';
    });
    expect(record.id).toBe(cutOff().id);
  });

  it.each<[string, (draft: RunRecord) => void, RegExp]>([
    [
      'another build',
      (draft) => (draft.lamp.build = '9.9.9'),
      /the build of the lamp is 9\.9\.9 \(it was 1\.4\.2\)/,
    ],
    [
      'another serial number',
      (draft) => (draft.lamp.serial = 'X'),
      /the serial number of the lamp is X \(it was/,
    ],
    [
      'another operator',
      (draft) => (draft.operator = 'Mira'),
      /the operator is Mira \(it was Nele\)/,
    ],
    [
      'an operator who keeps silent',
      (draft) => void delete draft.operator,
      /the operator is nobody named; --operator NAME/,
    ],
    [
      'another lamp that answers',
      (draft) => (draft.lamp.says![0]!.serial = 'A6-00018'),
      /the lamp on the link console is .*A6-00018 .*\(it was .*A6-00017/,
    ],
    [
      'a lamp with other firmware',
      (draft) => (draft.lamp.says![0]!.firmware = '1.4.3'),
      /lamp on the link console is .*1\.4\.3/,
    ],
    [
      'a lamp that no longer answers',
      (draft) => void delete draft.lamp.says,
      /lamp on the link console is not known/,
    ],
    [
      'another lamp file',
      (draft) => (draft.lamp.digest = 'e'.repeat(64)),
      /the lamp file has changed/,
    ],
    [
      'another rig file',
      (draft) => (draft.rig.digest = 'e'.repeat(64)),
      /the rig file has changed/,
    ],
    [
      'another instrument',
      (draft) => (draft.rig.instruments[0]!.identity.serial = '42'),
      /the instrument .* is Halden D1 42 \(it was Halden D1 41\)/,
    ],
    [
      'another calibration',
      (draft) =>
        (draft.rig.instruments[0]!.calibration = { ...calibration, certificate: 'HDL-D-119' }),
      /the calibration of .* is HDL-D-119 of 2026-01-10, due 2027-01-10 \(it was HDL-D-118/,
    ],
    [
      'a calibration that is gone',
      (draft) => (draft.rig.instruments[0]!.calibration = null),
      /the calibration of .* is none/,
    ],
    [
      'another spec',
      (draft) => (draft.specs[0]!.digest = 'e'.repeat(64)),
      /the specs have changed since \(a\)/,
    ],
    ['another seed', (draft) => (draft.seed = 99), /the seed is 99/],
    [
      'a seeded fault',
      (draft) => draft.faults.push({ fault: 'ripple', size: 1 }),
      /the seeded faults are others/,
    ],
    [
      'another firmware file',
      (draft) => (draft.lamp.firmware.digest = 'e'.repeat(64)),
      /the firmware is another build/,
    ],
  ])('is another one, and refused, with %s', async (_, change, told) => {
    await expect(resumed(change)).rejects.toThrow(told);
  });
});
