import { existsSync, realpathSync } from 'node:fs';
import { hostname, networkInterfaces } from 'node:os';
import { resolve } from 'node:path';
import type { Lamp } from '../harness/bench/lamp.ts';
import type { Identity } from '../harness/bench/ports.ts';
import type { Rig, RigInstrument } from '../harness/bench/rig.ts';

/** TCP ports that an address may leave out. */
const usualPorts: Readonly<Record<string, string>> = { 'http:': '80', 'https:': '443' };
/** UDP port of ANSI E1.31, 9.1. */
const sacnPort = 5568;

/**
 * Where the instruments of a rig are, by their names: texts that are equal where two rig files mean the same port,
 * terminal, universe or program, however either writes it. An instrument of which nothing is known has none.
 */
export function placesOf(
  { instruments }: Pick<Rig, 'instruments'>,
  on: { readonly lamp: Pick<Lamp, 'links'>; readonly folder: string },
): ReadonlyMap<string, readonly string[]> {
  return new Map(
    instruments.map((entry) => [entry.name, [...new Set(placesOfOne(entry, on))]] as const),
  );
}

/** What an instrument is, wherever it is: null where it gives no serial number. */
export function placeOfIdentity({ maker, model, serial }: Identity): string | null {
  const parts = [maker, model, serial].map((part) =>
    String(part ?? '')
      .trim()
      .toLowerCase(),
  );
  return parts[2] === '' || parts[2] === '0' ? null : `instrument ${parts.join(' ')}`;
}

function placesOfOne(
  { driver, settings }: RigInstrument,
  { lamp, folder }: { readonly lamp: Pick<Lamp, 'links'>; readonly folder: string },
): string[] {
  if (driver === 'plant' || driver === 'recording') return [];
  if (driver === 'sacn') return [sacnPlace(settings, lamp.links.sacn?.universe)];
  const own = /^\.{0,2}\//.test(driver);
  const found = placesIn(settings, folder);
  if (found.length > 0 || !own) return found;
  // A module that names no address: the same one with the same settings is the same instrument.
  return [`driver ${realPath(resolve(folder, driver))} ${JSON.stringify(settings) ?? ''}`];
}

function sacnPlace(settings: unknown, universe: number | undefined): string {
  const { to } = settings as { to?: { kind: string; host?: string; port?: number } };
  const where =
    to?.kind === 'unicast' ? `${hostsOf(to.host ?? '')[0]}:${to.port ?? sacnPort}` : 'multicast';
  return `sacn universe ${universe ?? '?'} ${where}`;
}

/** Every place that settings name, at any depth. */
function placesIn(settings: unknown, folder: string): string[] {
  if (typeof settings === 'string') return placesOfText(settings);
  if (typeof settings !== 'object' || settings === null) return [];
  const known = settings as Record<string, unknown>;
  const { host, port, path, command } = known;
  if (typeof host === 'string' && (typeof port === 'number' || typeof port === 'string'))
    return tcpPlaces(host, String(port));
  const direct = typeof path === 'string' && known['kind'] === 'serial' ? [devicePlace(path)] : [];
  const run = Array.isArray(command) ? [commandPlace(command.map(String), folder)] : [];
  return [...direct, ...run, ...Object.values(known).flatMap((each) => placesIn(each, folder))];
}

/** An address, a device or the address of a page; other texts are no places. */
function placesOfText(text: string): string[] {
  if (text.startsWith('/dev/') || /^COM\d+$/i.test(text)) return [devicePlace(text)];
  // A link to a device, as udev makes them or `emulate` does.
  if (text.startsWith('/') && realPath(text).startsWith('/dev/')) return [devicePlace(text)];
  if (!/^[a-z][a-z0-9+.-]*:\/\//i.test(text) || !URL.canParse(text)) return [];
  const { protocol, hostname: host, port } = new URL(text);
  return tcpPlaces(host.replace(/^\[|\]$/g, ''), port || usualPorts[protocol] || '');
}

function tcpPlaces(host: string, port: string): string[] {
  return hostsOf(host).map((name) => `tcp ${name}:${port}`);
}

/** Names that a machine goes by: this one under its own name, as other machines know it too. */
function hostsOf(host: string): string[] {
  const name = canonicalHost(host);
  const here = hostname().toLowerCase();
  if (name === 'localhost' || name === here || /^127\./.test(name) || name === '0.0.0.0')
    return [here];
  if (name === '[::1]' || name === '[::]') return [here];
  const own = Object.values(networkInterfaces()).some((addresses) =>
    addresses?.some(({ address }) => canonicalHost(address) === name),
  );
  return own ? [here, name] : [name];
}

/** `LOCALHOST.`, `127.1` and `::ffff:127.0.0.1` as everybody else writes them. */
function canonicalHost(host: string): string {
  const bare = host.replace(/\.$/, '').replace(/^::ffff:(?=\d+\.)/i, '');
  const url = `http://${bare.includes(':') ? `[${bare}]` : bare}`;
  return URL.canParse(url) ? new URL(url).hostname : bare.toLowerCase();
}

function devicePlace(path: string): string {
  const device = /^COM\d+$/i.test(path) ? path.toUpperCase() : realPath(path);
  return `device ${hostname().toLowerCase()}:${device}`;
}

/** A program is told by all of its command line; files in it by where they really are. */
function commandPlace(command: readonly string[], folder: string): string {
  const words = command.map((word) => {
    const path = resolve(folder, word);
    return existsSync(path) ? realPath(path) : word;
  });
  return `program ${hostname().toLowerCase()}:${words.join(' ')}`;
}

function realPath(path: string): string {
  try {
    return realpathSync(path);
  } catch {
    return path;
  }
}
