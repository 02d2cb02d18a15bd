import { describe, expect, test } from 'vitest';
import { buildAlcove, buildAlcoveMainLoop } from '../firmware/build-firmware.ts';
import { DebuggerClient, type DebuggerEvent } from './debugger-client.ts';
import { evenfall, Running } from './program.ts';
import { desk, dimmingSpec, recordIn, runsIn } from './small-specs.ts';

type Frame = { functionName: string; callFrameId: string; location: { scriptId: string } };

const frames = ({ params }: { params: Record<string, unknown> }) => params['callFrames'] as Frame[];

/** Frames name their scripts by numbers. */
function scriptOf({ events }: DebuggerClient, [top]: readonly Frame[]): DebuggerEvent | undefined {
  return events.find(
    ({ method, params }) =>
      method === 'Debugger.scriptParsed' && params['scriptId'] === top?.location.scriptId,
  );
}

function urlOf(debug: DebuggerClient, stack: readonly Frame[]): string {
  return String(scriptOf(debug, stack)?.params['url']);
}

async function attached(replaying: Running): Promise<DebuggerClient> {
  await replaying.until((_, stderr) => stderr.includes('or by Ctrl-C'));
  const [, url] = /at (ws:\S+)/.exec(replaying.stderr)!;
  const debug = await DebuggerClient.attach(url!);
  await debug.call('Debugger.enable');
  await debug.call('Runtime.runIfWaitingForDebugger');
  return debug;
}

describe.each([
  ['by ticks', buildAlcove, 'EmbeddedDWARF'],
  ['by a main loop', buildAlcoveMainLoop, 'SourceMap'],
])('firmware that is driven %s', (_, build, symbols) => {
  test('a debugger stops before its call at the instant, steps into it, and changes nothing', async () => {
    const spec = dimmingSpec('dims', ['50 %']);
    const cwd = desk({ 'specs/dims.spec.yaml': spec, 'lamp.wasm': build() });
    await evenfall(['run', 'specs', '--quiet', '--firmware', 'lamp.wasm'], { cwd });
    const firmware = ['--firmware', 'lamp.wasm'];
    const replaying = new Running(['replay', 'latest', ...firmware, '--pause-at', '210 ms'], {
      cwd,
    });
    const debug = await attached(replaying);
    const paused = await debug.event('Debugger.paused');
    expect(urlOf(debug, frames(paused))).toBe('evenfall-pause.js');
    const id = frames(paused)[0]!.callFrameId;
    const shown = await debug.call('Debugger.evaluateOnCallFrame', {
      ...{ callFrameId: id, expression: 'arguments.callee.toString()', returnByValue: true },
    });
    const { value } = shown['result'] as { value: string };
    const [, entry, at] = /\/\/ (lamp_\w+)\(.*about to be called, ([\d.]+) s into/.exec(value)!;
    expect(Number(at)).toBeGreaterThanOrEqual(0.21 - 1e-6);
    expect(Number(at)).toBeLessThan(0.212);
    let top = frames(paused);
    for (let step = 0; step < 3 && !urlOf(debug, top).startsWith('wasm:'); step++) {
      const from = debug.events.length;
      await debug.call('Debugger.stepInto');
      top = frames(await debug.event('Debugger.paused', from));
    }
    expect(urlOf(debug, top)).toMatch(/^wasm:/);
    // The module that runs has the debug information that an editor reads, or a source map where it had to be rewritten.
    const { params } = scriptOf(debug, top)!;
    expect(JSON.stringify(params['debugSymbols'])).toContain(symbols);
    if (symbols === 'SourceMap') {
      const [, json] = String(params['sourceMapURL']).split(';base64,');
      const map = JSON.parse(Buffer.from(json!, 'base64').toString()) as { sources: string[] };
      expect(map.sources.some((source) => /^file:\/\/\/.*\/main\.c$/.test(source))).toBe(true);
    }
    expect(top[0]!.functionName).toContain(entry!);
    await debug.call('Debugger.resume');
    await replaying.until((said) => said.includes('Page '));
    debug.close();
    const { exitCode, stdout } = await replaying.ended;
    expect(exitCode).toBe(0);
    expect(stdout).toContain('with the same figures');
    const [one] = recordIn(runsIn(cwd, 'replays')[0]!).specs;
    expect(one!.verdict).toBe('pass');
  });
});

test('a debugger stops before the lamp starts', async () => {
  const spec = dimmingSpec('dims', ['50 %']);
  const cwd = desk({ 'specs/dims.spec.yaml': spec, 'lamp.wasm': buildAlcove() });
  await evenfall(['run', 'specs', '--quiet', '--firmware', 'lamp.wasm'], { cwd });
  const args = ['replay', 'latest', '--firmware', 'lamp.wasm', '--pause-at', 'start'];
  const replaying = new Running(args, { cwd });
  const debug = await attached(replaying);
  const paused = await debug.event('Debugger.paused');
  expect(urlOf(debug, frames(paused))).toBe('evenfall-pause.js');
  await debug.call('Debugger.resume');
  await replaying.until((said) => said.includes('Page '));
  debug.close();
  expect((await replaying.ended).exitCode).toBe(0);
});

test('of the reference firmware nothing can be stopped', async () => {
  const cwd = desk({ 'specs/dims.spec.yaml': dimmingSpec('dims', ['50 %']) });
  await evenfall(['run', 'specs', '--quiet'], { cwd });
  const { stderr, exitCode } = await evenfall(['replay', 'latest', '--pause-at', '1 s'], { cwd });
  expect(exitCode).toBe(64);
  expect(stderr).toContain('in firmware of your own alone');
});
