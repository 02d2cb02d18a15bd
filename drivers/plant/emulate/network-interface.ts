import { createSocket, type Socket } from 'node:dgram';
import type { SlotLink } from '../../../harness/bench/lamp.ts';
import { multicastGroup } from '../../sacn/packet.ts';
import { MessageFates } from '../links/message-fates.ts';
import { type SacnInput, sacnInput } from '../links/sacn-input.ts';
import type { LivePlant } from './live-plant.ts';
import { loopback } from './loopback.ts';
import type { Troubles } from './trouble.ts';

/**
 * The lamp's network interface: takes datagrams that are sent to the loopback address, and those of its universe's
 * multicast group on the loopback interface. Nothing of another network gets here.
 */
export class NetworkInterface {
  readonly #name: string;
  readonly #sacn: SlotLink & { readonly universe: number };
  readonly #live: LivePlant;
  readonly #troubles: Troubles;
  readonly #sockets: Socket[] = [];
  readonly #fates: MessageFates;
  #input: SacnInput;

  constructor(
    name: string,
    sacn: SlotLink & { readonly universe: number },
    live: LivePlant,
    troubles: Troubles,
  ) {
    this.#name = name;
    this.#sacn = sacn;
    this.#fates = new MessageFates(live.model.links, 'sacn');
    this.#live = live;
    this.#troubles = troubles;
    this.#input = this.#newInput();
    // The interface has its power from the lamp.
    live.whenRenewed(() => {
      this.#input = this.#newInput();
    });
  }

  /** Resolves with the port. */
  async listen(port: number): Promise<number> {
    const unicast = await this.#bind(loopback, port);
    const bound = unicast.address().port;
    const group = multicastGroup(this.#sacn.universe);
    const multicast = await this.#bind(group, bound);
    multicast.addMembership(group, loopback);
    return bound;
  }

  async close(): Promise<void> {
    const open = this.#sockets.splice(0);
    await Promise.all(open.map((socket) => new Promise<void>((done) => socket.close(done))));
  }

  #newInput(): SacnInput {
    const { lamp, side, model } = this.#live;
    return sacnInput(lamp, this.#sacn, side, model.links);
  }

  async #bind(address: string, port: number): Promise<Socket> {
    const socket = createSocket({ type: 'udp4', reuseAddr: true });
    await new Promise<void>((resolve, reject) => {
      socket.once('error', reject);
      socket.bind({ address, port, exclusive: true }, () => {
        socket.off('error', reject).on('error', () => {});
        resolve();
      });
    });
    socket.on('message', (bytes) => void this.#take(bytes));
    this.#sockets.push(socket);
    return socket;
  }

  async #take(bytes: Uint8Array): Promise<void> {
    const { clock } = this.#live;
    const { lost, late } = this.#fates.next();
    // sACN has no answers: its packets are lost, or late.
    const trouble = this.#troubles.strike(this.#name, ['silence', 'late']);
    if (trouble?.kind === 'silence' || lost) return;
    await this.#live.catchUp();
    const arrival = clock.now() + late + (trouble?.seconds ?? 0);
    clock.schedule(arrival, () => this.#input.receive(bytes));
  }
}
