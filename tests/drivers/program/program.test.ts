import { encode } from 'fast-png';
import { describe, expect, it } from 'vitest';
import { cameraDriver } from '../../../drivers/camera/camera-driver.ts';
import { programDriver } from '../../../drivers/program/program-driver.ts';
import { RealClock } from '../../../drivers/real-clock.ts';
import type {
  Call,
  Camera,
  Chamber,
  ColourSensor,
  Digitiser,
  PowerSwitch,
  Spectrometer,
  Supply,
} from '../../../harness/bench/ports.ts';
import { climateRig, emulatedRig, lamp } from '../conformance/shipped-bench.ts';
import { instrumentOf } from '../instrument-of.ts';

const call = (deadline = 20): Call => ({ signal: new AbortController().signal, deadline });
const context = { rig: emulatedRig, lamp, clock: new RealClock(), folder: '.' };

/** An instrument behind a real program: Node, with this body; `order` is what it was told. */
async function open<T>(kind: string, body: string, rig = emulatedRig): Promise<T> {
  const script = `let t='';process.stdin.on('data',d=>t+=d).on('end',()=>{const order=JSON.parse(t);${body}})`;
  const settings = { kind, command: [process.execPath, '-e', script] };
  const one = instrumentOf(programDriver, settings, { name: 'head', deadline: 9 });
  return (await programDriver.open(one, { ...context, rig })) as T;
}

const say = (value: string): string => `console.log(JSON.stringify(${value}))`;

describe('an instrument that a program reads', () => {
  it('is told the order as JSON and answers with JSON', async () => {
    const sensor = await open<ColourSensor>(
      'colour-sensor',
      say(
        `order.do==='identify'?{maker:'M',serial:'7'}:{X:1,Y:order.integration,Z:3,state:'good'}`,
      ),
    );
    expect(await sensor.identify(call())).toMatchObject({ maker: 'M', model: '', serial: '7' });
    const reading = await sensor.read({ integration: 0.5 }, call());
    expect(reading).toMatchObject({ X: 1, Y: 0.5, Z: 3, state: 'good' });
  });

  it('records with as many samples as were asked for, or not at all', async () => {
    const record = say(`{rate:order.rate,inputs:{light:{samples:Array(10).fill(2),scale:.5}}}`);
    const digitiser = await open<Digitiser>('digitiser', record);
    const setup = { inputs: [{ input: 'light' }], rate: 100, duration: 0.1 };
    const { finished } = await digitiser.arm(setup, call());
    expect((await finished)[0]).toMatchObject({ scale: 0.5, unit: 'V', rate: 100 });
    const longer = await digitiser.arm({ ...setup, duration: 0.2 }, call());
    await expect(longer.finished).rejects.toThrow(/sent 10 samples of input light; expected 20/);
  });

  it('is a relay that is believed when it reads back as it was told', async () => {
    const good = await open<PowerSwitch>('switch', say(`{on:true,watts:12}`));
    await good.output(true, call());
    expect(await good.read(call())).toEqual({ on: true, watts: 12 });
    await expect(good.output(false, call())).rejects.toMatchObject({ kind: 'refused' });
  });

  it('is a chamber that goes no further than the rig allows', async () => {
    const chamber = await open<Chamber>('chamber', say(`{celsius:25.1,'set-point':25,on:true}`));
    expect(await chamber.read(call())).toEqual({ celsius: 25.1, setPoint: 25, on: true });
    const limited = await open<Chamber>('chamber', say('{}'), climateRig);
    await expect(limited.set({ celsius: 71 }, call())).rejects.toMatchObject({ kind: 'refused' });
    await limited.set({ celsius: 60 }, call());
    await limited.stop(call());
  });

  it('is a spectrometer that speaks of nanometres', async () => {
    const body = say(
      `{from:380,step:5,values:Array(81).fill(order.integration),state:'good',bandwidth:3}`,
    );
    const spectrometer = await open<Spectrometer>('spectrometer', body);
    const spectrum = await spectrometer.measure({ integration: 0.5 }, call());
    expect(spectrum.from).toBeCloseTo(380e-9, 15);
    expect(spectrum.bandwidth).toBeCloseTo(3e-9, 15);
    expect(spectrum.values).toHaveLength(81);
    // 0.5 W/(m² nm) is 0.5e9 W/m³.
    expect(spectrum.values[0]).toBeCloseTo(0.5e9, 0);
  });

  it('never asks for more than the rig allows', async () => {
    const supply = await open<Supply>('supply', say('{}'));
    await expect(supply.set({ volts: 1e4 }, call())).rejects.toMatchObject({ kind: 'refused' });
  });

  it.each([
    [
      'ends with an error',
      `console.error('no head');process.exit(4)`,
      'refused',
      /ended with 4: no head/,
    ],
    ['answers no JSON', `console.log('hello')`, 'garbled', /"hello"; expected JSON/],
    ['leaves a figure out', say('{volts:1,on:true}'), 'garbled', /amps/],
    ['gives no number', say('{volts:1,amps:NaN,on:true}'), 'garbled', /amps/],
  ])('is believed nothing when it %s', async (_, body, kind, words) => {
    const supply = await open<Supply>('supply', body);
    const read = supply.read(call());
    await expect(read).rejects.toMatchObject({ kind });
    await expect(read).rejects.toThrow(words);
  });

  it('is killed when it is late', async () => {
    const supply = await open<Supply>('supply', 'setInterval(()=>{},1000)');
    await expect(supply.read(call(0.5))).rejects.toMatchObject({ kind: 'timeout' });
  });

  it('is refused in words when there is no such program', async () => {
    const settings = { kind: 'supply', command: ['/no/such/program'] };
    const one = instrumentOf(programDriver, settings, { name: 'head', deadline: 9 });
    const supply = (await programDriver.open(one, context)) as Supply;
    await expect(supply.read(call())).rejects.toThrow(/\/no\/such\/program did not start/);
  });
});

describe('a camera that a program drives', () => {
  const picture = encode({
    width: 2,
    height: 3,
    channels: 1,
    depth: 8,
    data: Uint8Array.of(0, 0, 51, 51, 102, 102),
  });

  async function camera(script: string, ...rest: string[]): Promise<Camera> {
    const settings = {
      command: [process.execPath, '-e', script, ...rest],
      'line-time': '15 µs',
      transfer: 'linear',
    };
    const one = instrumentOf(cameraDriver, settings, { name: 'camera', deadline: 9 });
    return (await cameraDriver.open(one, context)) as Camera;
  }

  const base64 = Buffer.from(picture).toString('base64');

  it('reads the rows of the picture that it wrote', async () => {
    const write = `require('fs').writeFileSync(process.argv[2],Buffer.from('${base64}','base64'));if(process.argv[1]!=='0.002')process.exit(1)`;
    const taken = await camera(write, '{exposure}', '{file}');
    const frame = await taken.shoot({ exposure: 0.002, frameRate: 25 }, call());
    expect([...frame.rows].map((row) => row.toFixed(3))).toEqual(['0.000', '0.200', '0.400']);
    expect(frame).toMatchObject({ lineTime: 15e-6, exposure: 0.002, saturated: false });
  });

  it('refuses half a picture, and none', async () => {
    const half = await camera(
      `process.stdout.write(Buffer.from('${base64}','base64').subarray(0,40))`,
    );
    const shot = half.shoot({ exposure: 0.002, frameRate: 25 }, call());
    await expect(shot).rejects.toMatchObject({ kind: 'garbled' });
    const none = await camera('', '{file}');
    await expect(none.shoot({ exposure: 0.002, frameRate: 25 }, call())).rejects.toThrow(
      /no picture/,
    );
  });
});
