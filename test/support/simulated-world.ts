import { type EventEntry, KegId } from '../../src/contract/index.ts';
import { build, SITUATIONS } from '../../src/simulate/situations/catalogue.ts';
import type { Situation } from '../../src/simulate/situations/situation.ts';
import { HOUR } from './builders.ts';
import { FakeClock } from './fake-clock.ts';
import { LIGHT_MODEL } from './light-model.ts';
import { World } from './world.ts';

export interface SimulatedWorld {
  readonly world: World;
  readonly startMs: number;
  /** Goes on to an hour after the filling: what arrives is heard, what is entered is entered, all is worked out. */
  goTo(hour: number): Promise<void>;
}

export function situationNamed(name: string): Situation {
  const found = SITUATIONS.find((situation) => situation.name === name);
  if (found === undefined) throw new Error(`there is no situation ${name}`);
  return found;
}

/** A keg "one" that is simulated and heard every five minutes. */
export async function aSimulatedWorld(situation: Situation, seed: number): Promise<SimulatedWorld> {
  const { kegId, startMs, cellar, events } = build(situation, seed, { everyMs: 5 * 60_000 });
  const world = await World.make({ clock: new FakeClock(startMs), estimating: true, model: LIGHT_MODEL });
  const { kegChanges } = world.services;
  kegChanges.putKeg(KegId.parse(kegId), {});
  const waiting: EventEntry[] = [...events];
  return {
    world,
    startMs,
    async goTo(hour) {
      const untilMs = startMs + hour * HOUR;
      for (const message of cellar.advanceTo(untilMs)) {
        if (message.deliverAtMs > world.clock.nowMs()) world.clock.advanceTo(message.deliverAtMs);
        await world.hear(message.topic, message.payload);
      }
      world.clock.advanceTo(untilMs);
      for (let next = waiting[0]; next !== undefined && Date.parse(next.at) <= untilMs; next = waiting[0]) {
        const entered = kegChanges.addEvent(kegId, next);
        if (!entered.ok) throw new Error(entered.detail);
        waiting.shift();
      }
      await world.estimated();
    },
  };
}
