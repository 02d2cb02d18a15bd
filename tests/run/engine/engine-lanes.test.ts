import { describe, expect, it } from 'vitest';
import { runSpecs } from '../../../harness/run/engine/engine.ts';
import type { RunEvent } from '../../../harness/run/engine/events.ts';
import type { ConditionTask, Lane } from '../../../harness/run/engine/lane.ts';
import type { Ending } from '../../../harness/verdict/verdict.ts';
import { plan, ScriptedLane, setup } from './scripted-lane.ts';

describe('a run hands conditions to its lanes', () => {
  describe('while a result is being stored', () => {
    /** Conditions that had begun when the first one was stored. */
    async function begun(lane: ScriptedLane): Promise<readonly string[]> {
      let ran: readonly string[] = [];
      const listeners = [
        async (event: RunEvent) => {
          if (event.event !== 'condition-ended' || event.condition.key !== 'a') return;
          await new Promise((resolve) => setTimeout(resolve, 50));
          ran = [...lane.ran];
        },
      ];
      await runSpecs(setup([plan('one', ['a', 'b'])], [lane], { listeners }));
      return ran;
    }

    it('begins nothing on a rig: what it measured cannot be had again', async () => {
      expect(await begun(new ScriptedLane(() => 'pass'))).toEqual(['a']);
    });

    it('goes on where a condition can be had again', async () => {
      const lane = Object.assign(new ScriptedLane(() => 'pass'), { repeatable: true });
      expect(await begun(lane)).toEqual(['a', 'b']);
    });
  });

  describe('while a condition is being executed', () => {
    /** What the lane had been asked for, and what was told, while the first condition went on. */
    async function meanwhile(lanes: (hold: (task: ConditionTask) => Promise<Ending>) => Lane[]) {
      const [asked, told]: [string[], string[]] = [[], []];
      let go = (): void => {};
      const held = new Promise<void>((resolve) => {
        go = resolve;
      });
      const hold = async ({ condition }: ConditionTask): Promise<Ending> => {
        asked.push(condition.key);
        await held;
        return 'pass';
      };
      const listeners = [
        async (event: RunEvent) => {
          if (event.event === 'condition-started') told.push(`${event.key} on ${event.lane}`);
        },
      ];
      const run = runSpecs(
        setup([plan('one', ['a', 'b', 'c', 'd', 'e'])], lanes(hold), { listeners }),
      );
      await new Promise((resolve) => setTimeout(resolve, 20));
      const during = { asked: [...asked], told: [...told] };
      go();
      const record = await run;
      return { during, told, record };
    }

    it('asks a rig for no other one', async () => {
      const { during } = await meanwhile((hold) => [new ScriptedLane(hold)]);
      expect(during).toEqual({ asked: ['a'], told: ['a on 0'] });
    });

    it('lets another one wait where the lane says so, and tells of its start when its turn comes', async () => {
      const ahead = { ahead: 1, repeatable: true };
      const { during, told, record } = await meanwhile((hold) => [
        Object.assign(new ScriptedLane(hold), ahead),
        Object.assign(new ScriptedLane(hold), ahead),
      ]);
      // Every lane has one before any has two.
      expect(during).toEqual({ asked: ['a', 'b', 'c', 'd'], told: ['a on 0', 'b on 1'] });
      expect(told.slice(0, 4)).toEqual(['a on 0', 'b on 1', 'c on 0', 'd on 1']);
      expect(record.verdict).toBe('pass');
    });
  });

  it('waits for the store before the safe state, however it is told', async () => {
    const lane = Object.assign(new ScriptedLane(() => 'pass'), { repeatable: true });
    const stored: string[] = [];
    const listeners = [
      async (event: RunEvent) => {
        if (event.event !== 'condition-ended') return;
        await new Promise((resolve) => setTimeout(resolve, 20));
        stored.push(`${event.condition.key} ${lane.safes}`);
      },
    ];
    await runSpecs(setup([plan('one', ['a', 'b'])], [lane], { listeners }));
    expect(stored).toEqual(['a 0', 'b 0']);
  });
});
