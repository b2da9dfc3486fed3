import type { SpokenUnits } from '../words.ts';
import { isAtLeast, type Level } from './matter.ts';
import type { QuietHours } from './quiet-hours.ts';

/** A way by which a person is reached. */
export interface Way {
  readonly channelId: string;
  /** Where on the channel: a mail address, a number for a relay; null where the channel needs none. */
  readonly address: string | null;
  /** `second`: tried only if nobody acknowledged in time. */
  readonly step: 'first' | 'second';
}

export interface Person {
  readonly personId: string;
  readonly name: string;
  /** Null: the site's. */
  readonly timeZone: string | null;
  readonly units: SpokenUnits | null;
  readonly quietHours: QuietHours | null;
  /** What presses less is not told. */
  readonly leastLevel: Level;
  /** How long a matter may stay without anybody's acknowledgement before the second ways are tried; null: for ever. */
  readonly escalateAfterMs: number | null;
  readonly ways: readonly Way[];
}

/** A browser that asked for messages. */
export interface PushSubscription {
  readonly subscriptionId: string;
  readonly personId: string;
  readonly channelId: string;
  readonly endpoint: string;
  readonly p256dh: string;
  readonly auth: string;
}

/** One way to one person or program, with a queue of its own. */
export interface LaneSpec {
  readonly laneId: string;
  readonly channelId: string;
  /** Null: a program, which hears everything. */
  readonly person: Person | null;
  readonly step: 'first' | 'second';
  readonly address: string | null;
  readonly subscription: PushSubscription | null;
}

export interface Reachable {
  readonly channels: readonly {
    readonly channelId: string;
    readonly isProgram: boolean;
    readonly perBrowser: boolean;
  }[];
  readonly people: readonly Person[];
  readonly subscriptions: readonly PushSubscription[];
}

/** Every lane there is. The same person and channel always give the same id, so what a lane was told outlives edits. */
export function lanesOf({ channels, people, subscriptions }: Reachable): LaneSpec[] {
  const lanes: LaneSpec[] = channels
    .filter(({ isProgram }) => isProgram)
    .map(({ channelId }) => {
      return { laneId: `/${channelId}`, channelId, person: null, step: 'first', address: null, subscription: null };
    });
  for (const person of people) {
    for (const { channelId, address, step } of person.ways) {
      const channel = channels.find((one) => one.channelId === channelId);
      if (channel === undefined) continue;
      const laneId = `${person.personId}/${channelId}`;
      const lane = { laneId, channelId, person, step, address, subscription: null };
      if (!channel.perBrowser) lanes.push(lane);
      for (const subscription of channel.perBrowser ? subscriptions : []) {
        if (subscription.personId !== person.personId || subscription.channelId !== channelId) continue;
        lanes.push({ ...lane, laneId: `${laneId}/${subscription.subscriptionId}`, subscription });
      }
    }
  }
  return lanes;
}

/** Whether a matter of this level is told on a lane at all. */
export function concerns({ person, step }: LaneSpec, level: Level): boolean {
  if (person === null) return true;
  if (step === 'second' && (level === 'news' || person.escalateAfterMs === null)) return false;
  return isAtLeast(level, person.leastLevel);
}
