// A program that records by the emulated digitiser, and takes its time to begin. Arguments: port, longest delay in ms, and
// whether it says when it began (`tells`) or not, or keeps its first record of a second or more in a file and hands over as much
// of that as is asked for ever after (`replays FILE`).
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { connect } from 'node:net';

const [port, longest, manner, file] = process.argv.slice(2);
const order = JSON.parse(readFileSync(0, 'utf8'));
const socket = connect(Number(port), '127.0.0.1');
let received = Buffer.alloc(0);
let wake = () => {};
socket.on('data', (bytes) => {
  received = Buffer.concat([received, bytes]);
  wake();
});
const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

async function line(query) {
  socket.write(`${query}\n`);
  for (;;) {
    const end = received.indexOf('\n');
    if (end >= 0) {
      const text = received.subarray(0, end).toString();
      received = received.subarray(end + 1);
      return text;
    }
    await new Promise((resolve) => (wake = resolve));
  }
}

async function block(query) {
  socket.write(`${query}\n`);
  for (;;) {
    const digits = Number(received.toString('latin1', 1, 2));
    const length = Number(received.toString('latin1', 2, 2 + digits));
    const end = 2 + digits + length;
    if (received.length > 2 && received.length > end) {
      const data = Buffer.from(received.subarray(2 + digits, end));
      received = received.subarray(end + 1);
      return data;
    }
    await new Promise((resolve) => (wake = resolve));
  }
}

if (order.do === 'identify') {
  console.log(JSON.stringify({ maker: 'Own', model: 'recorder', serial: '1' }));
} else {
  const points = Math.round(order.rate * order.duration);
  for (const message of [
    'FORM:BORD SWAP',
    'ABOR',
    'ROUT:SCAN NONE',
    `ACQ:RATE ${order.rate}`,
    `ACQ:POIN ${points}`,
  ])
    socket.write(`${message}\n`);
  for (const input of order.inputs) socket.write(`ROUT:SCAN:ADD ${input}\n`);
  await line('SYST:ERR?');
  await pause(Math.random() * Number(longest));
  const before = Date.now() / 1000;
  socket.write('INIT\n');
  await line('ACQ:STAT?');
  const after = Date.now() / 1000;
  const began = (before + after) / 2;
  while ((await line('ACQ:STAT?')) !== 'DONE') await pause(2);
  const inputs = {};
  for (const input of order.inputs) {
    const [, , scale, offset, lowest, highest] = (await line(`WAV:PRE? ${input}`))
      .split(',')
      .map(Number);
    const data = await block(`WAV:DATA? ${input}`);
    const samples = Array.from({ length: points }, (_, k) => data.readInt16LE(2 * k));
    inputs[input] = { samples, scale, offset, lowest, highest };
  }
  const answer = {
    rate: order.rate,
    ...(manner === 'tells' && {
      began,
      'standard-began': (after - before) / Math.sqrt(12) + 0.001,
    }),
    inputs,
  };
  if (manner === 'replays' && points >= order.rate) {
    if (!existsSync(file)) writeFileSync(file, JSON.stringify(answer));
    const first = JSON.parse(readFileSync(file, 'utf8'));
    for (const input of Object.values(first.inputs)) input.samples = input.samples.slice(0, points);
    console.log(JSON.stringify(first));
  } else console.log(JSON.stringify(answer));
}
socket.destroy();
