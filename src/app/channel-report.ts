import type * as contract from '../contract/index.ts';
import { BROKER_CHANNEL, type ChannelSetting } from '../domain/delivery/channel.ts';
import type { Person } from '../domain/delivery/people.ts';
import type { LaneRecord } from '../ports/outbox-journal.ts';
import { isFailing } from './channel-troubles.ts';
import type { Outbox } from './outbox.ts';
import { browsersOf } from './people-changes.ts';
import { instantOrNull } from './present.ts';

/** How every channel is set up, without its secrets, and how it is doing. */
export function channelReports(
  outbox: Outbox,
  nowMs: number,
  newSecrets: ReadonlyMap<string, string> = new Map(),
): contract.ChannelReport[] {
  const live: contract.ChannelReport = {
    ...reportOf(outbox, { ...BROKER_CHANNEL, channelId: 'live', name: 'Open pages' }, nowMs),
    kind: 'live',
    builtIn: true,
    state: 'works',
  };
  const broker = { ...reportOf(outbox, BROKER_CHANNEL, nowMs), builtIn: true };
  const others = outbox.book().channels.values();
  return [
    live,
    broker,
    ...others.map((setting) => {
      return { ...reportOf(outbox, setting, nowMs), newSecret: newSecrets.get(setting.channelId) ?? null };
    }),
  ];
}

function reportOf(outbox: Outbox, setting: ChannelSetting, nowMs: number): contract.ChannelReport {
  const book = outbox.book();
  const lanes = book.lanes().filter(({ channelId }) => channelId === setting.channelId);
  const records = lanes.map(({ laneId }) => book.record(laneId));
  const newest = records.toSorted((a, b) => lastHeardMs(b) - lastHeardMs(a))[0];
  const retries = records.filter(({ attempts }) => attempts > 0).map(({ nextTryAtMs }) => nextTryAtMs);
  const sum = (count: (record: LaneRecord) => number) => records.reduce((total, record) => total + count(record), 0);
  return {
    channelId: setting.channelId,
    name: setting.name,
    kind: setting.kind,
    builtIn: false,
    program: setting.isProgram,
    state: stateOf(records, nowMs),
    lastSuccessAt: instantOrNull(latestOf(records.map(({ lastSuccessAtMs }) => lastSuccessAtMs))),
    lastFailureAt: instantOrNull(latestOf(records.map(({ lastFailureAtMs }) => lastFailureAtMs))),
    lastAnswer: newest?.lastAnswer ?? null,
    nextTryAt: instantOrNull(retries.length === 0 ? null : Math.min(...retries)),
    waiting: lanes.reduce((total, { laneId }) => total + waitingThreads(outbox, laneId), 0),
    delivered: sum(({ delivered }) => delivered),
    failures: sum(({ failures }) => failures),
    givenUp: sum(({ givenUp }) => givenUp),
    newSecret: null,
    setting: shownSetting(setting),
  };
}

function stateOf(records: readonly LaneRecord[], nowMs: number): contract.ChannelReport['state'] {
  if (records.some((record) => isFailing(record, nowMs))) return 'failing';
  if (records.some(({ attempts }) => attempts > 0)) return 'retrying';
  return records.some(({ lastSuccessAtMs }) => lastSuccessAtMs !== null) ? 'works' : 'untried';
}

function lastHeardMs({ lastSuccessAtMs, lastFailureAtMs }: LaneRecord): number {
  return Math.max(lastSuccessAtMs ?? 0, lastFailureAtMs ?? 0);
}

function latestOf(times: readonly (number | null)[]): number | null {
  const known = times.flatMap((time) => time ?? []);
  return known.length === 0 ? null : Math.max(...known);
}

function shownSetting(setting: ChannelSetting): contract.ChannelReport['setting'] {
  switch (setting.kind) {
    case 'email': {
      const { host, port, security, user, password, from } = setting;
      return { host, port, security, user, passwordSet: password !== null, from };
    }
    case 'webhook':
      return { url: setting.url };
    case 'relay': {
      const { method, url, headers, body } = setting;
      return { method, url, headers: headers.map(({ name }) => ({ name })), body };
    }
    case 'web-push':
      return { contact: setting.contact };
    case 'mqtt':
      return {};
  }
}

export function personReport(outbox: Outbox, person: Person, nowMs: number): contract.Person {
  const { personId, name, timeZone, units, quietHours, leastLevel, escalateAfterMs, ways } = person;
  const first = outbox
    .book()
    .lanes()
    .filter((lane) => lane.person?.personId === personId && lane.step === 'first');
  return {
    personId,
    name,
    timeZone,
    units: units === null ? null : { ...units },
    quietHours:
      quietHours === null ? null : { from: timeOfDay(quietHours.fromMinute), to: timeOfDay(quietHours.toMinute) },
    leastLevel,
    escalateAfterMin: escalateAfterMs === null ? null : escalateAfterMs / 60_000,
    ways: ways.map((way) => ({ ...way })),
    browsers: browsersOf(outbox, personId).map(({ subscriptionId, channelId, endpoint }) => {
      return { subscriptionId, channelId, service: new URL(endpoint).host };
    }),
    reachable: first.some(({ laneId }) => !isFailing(outbox.book().record(laneId), nowMs)),
  };
}

/** What reached a person, by day, over all ways. */
export function personDelivery(outbox: Outbox, { personId, name }: Person): contract.AlertHealth['people'][number] {
  const lanes = outbox
    .book()
    .lanes()
    .filter((lane) => lane.person?.personId === personId);
  const records = lanes.map(({ laneId }) => outbox.book().record(laneId));
  const counts = new Map<string, number>();
  for (const [date, messages] of records.flatMap(({ deliveredByDay }) => Object.entries(deliveredByDay ?? {}))) {
    counts.set(date, (counts.get(date) ?? 0) + messages);
  }
  return {
    personId,
    name,
    days: [...counts].map(([date, messages]) => ({ date, messages })).toSorted((a, b) => (a.date < b.date ? -1 : 1)),
    waiting: lanes.reduce((total, { laneId }) => total + waitingThreads(outbox, laneId), 0),
    givenUp: records.reduce((total, { givenUp }) => total + givenUp, 0),
  };
}

/** Threads of a lane of which something is still to be told. */
function waitingThreads(outbox: Outbox, laneId: string): number {
  const latest = outbox.book().latest();
  return outbox
    .book()
    .threads(laneId)
    .filter((thread) => thread.told === 'nothing' || latest.get(thread.matterId)?.endedAtMs != null).length;
}

function timeOfDay(minute: number): string {
  const two = (value: number) => String(value).padStart(2, '0');
  return `${two(Math.floor(minute / 60))}:${two(minute % 60)}`;
}
