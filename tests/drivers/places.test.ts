import { mkdtempSync, rmSync, symlinkSync } from 'node:fs';
import { hostname, tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { placeOfIdentity, placesOf } from '../../drivers/places.ts';
import { emulatedRig, lamp } from './conformance/shipped-bench.ts';

const folder = mkdtempSync(join(tmpdir(), 'evenfall-places-'));
afterAll(() => rmSync(folder, { recursive: true }));
symlinkSync('/dev/null', join(folder, 'bench-supply'));

function places(settings: unknown, driver = 'scpi', of = lamp): readonly string[] {
  const [first] = emulatedRig.instruments;
  if (!first) throw new Error('the emulated rig has instruments');
  const entry = { ...first, name: 'one', driver, settings };
  return placesOf({ instruments: [entry] }, { lamp: of, folder }).get('one') ?? [];
}

const tcp = (host: string, port = 5025) => ({ address: { kind: 'tcp', host, port } });
const here = hostname().toLowerCase();

describe('where an instrument is', () => {
  it.each(['localhost', 'LOCALHOST', '127.0.0.1', '127.1', '::1', '::ffff:127.0.0.1', here])(
    'is this computer by the name %s',
    (host) => {
      expect(places(tcp(host))).toContain(`tcp ${here}:5025`);
    },
  );

  it.each([
    ['Scope.Example.', 'scope.example'],
    ['2001:DB8:0::7', '[2001:db8::7]'],
    ['192.0.2.7', '192.0.2.7'],
  ])('is told by the one way of writing %s', (host, name) => {
    expect(places(tcp(host))).toEqual([`tcp ${name}:5025`]);
  });

  it('knows the port that an address of a page leaves out', () => {
    expect(places({ url: 'http://192.0.2.9/dim' }, 'webpage')).toEqual(['tcp 192.0.2.9:80']);
    expect(places({ url: 'https://192.0.2.9:8443/' }, 'webpage')).toEqual(['tcp 192.0.2.9:8443']);
  });

  it('is a device by its real path, whatever links to it', () => {
    const device = `device ${here}:/dev/null`;
    const link = join(folder, 'bench-supply');
    expect(places({ address: { kind: 'serial', path: link } })).toEqual([device]);
    expect(places({ address: '/dev/null' }, 'dmx')).toEqual([device]);
    expect(places({ wherever: link }, './my.mjs')).toEqual([device]);
  });

  it('is a universe and where it goes', () => {
    const { universe } = lamp.links.sacn ?? {};
    expect(places({ to: { kind: 'multicast' } }, 'sacn')).toEqual([
      `sacn universe ${universe} multicast`,
    ]);
    expect(places({ to: { kind: 'unicast', host: 'Node.Example', port: 5568 } }, 'sacn')).toEqual([
      `sacn universe ${universe} node.example:5568`,
    ]);
  });

  it('is found in the settings of a module of the user, or is the module with them', () => {
    expect(places({ host: '192.0.2.4', port: 4000 }, './my.mjs')).toEqual(['tcp 192.0.2.4:4000']);
    expect(places({ at: 'tcp://192.0.2.4:4000' }, './my.mjs')).toEqual(['tcp 192.0.2.4:4000']);
    expect(places({ gain: 2 }, './my.mjs')).toEqual([`driver ${folder}/my.mjs {"gain":2}`]);
  });

  it('is a program with all of its words', () => {
    const one = places({ command: ['python3', 'read.py', '--bus', '1'] }, 'program');
    const other = places({ command: ['python3', 'read.py', '--bus', '2'] }, 'program');
    expect(one).toHaveLength(1);
    expect(one).not.toEqual(other);
  });

  it('is nowhere in a simulation or a recording', () => {
    expect(places({ kind: 'supply' }, 'plant')).toEqual([]);
    expect(places({ files: { a: { file: '/dev/null' } } }, 'recording')).toEqual([]);
  });

  it('goes by the serial number, where there is one', () => {
    const identity = { maker: ' Tarn', model: 'D16', serial: 'EM-0001', firmware: '2', raw: '' };
    expect(placeOfIdentity(identity)).toBe('instrument tarn d16 em-0001');
    expect(placeOfIdentity({ ...identity, serial: '' })).toBeNull();
    expect(placeOfIdentity({ ...identity, serial: '0' })).toBeNull();
  });
});
