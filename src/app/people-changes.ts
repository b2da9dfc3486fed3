import type { BrowserEntry, PersonEntry } from '../contract/index.ts';
import { isMailAddress } from '../domain/delivery/mail-address.ts';
import type { Person, PushSubscription } from '../domain/delivery/people.ts';
import type { NewId } from '../ports/ids.ts';
import { isTimeZone } from './local-time.ts';
import type { Outbox } from './outbox.ts';
import { done, type Outcome, refuse } from './outcome.ts';

const MINUTE_MS = 60_000;
/** A person has phones and tablets, not hundreds. */
const BROWSERS_MAX = 20;

export function setPerson(outbox: Outbox, personId: string, entry: PersonEntry): Outcome<Person> {
  const trouble = troubleWith(outbox, entry);
  if (trouble !== null) return trouble;
  const { name, timeZone, units, quietHours, leastLevel, escalateAfterMin, ways } = entry;
  const person: Person = {
    personId,
    name,
    timeZone,
    units,
    quietHours:
      quietHours === null ? null : { fromMinute: minutesOf(quietHours.from), toMinute: minutesOf(quietHours.to) },
    leastLevel,
    escalateAfterMs: escalateAfterMin === null ? null : escalateAfterMin * MINUTE_MS,
    ways,
  };
  const book = outbox.book();
  const before = book.people.get(personId);
  book.people.put(personId, person);
  outbox.settingsChanged([]);
  for (const { laneId, person: whose } of book.lanes()) {
    if (whose?.personId === personId && JSON.stringify(before?.ways) !== JSON.stringify(ways)) outbox.revive(laneId);
  }
  return done(person);
}

function troubleWith(outbox: Outbox, { timeZone, escalateAfterMin, ways }: PersonEntry) {
  if (timeZone !== null && !isTimeZone(timeZone))
    return refuse('body-invalid', `timeZone: ${timeZone} is no IANA time zone; give one such as Europe/Vienna or UTC`);
  const ids = ways.map(({ channelId }) => channelId);
  const twice = ids.find((id, index) => ids.indexOf(id) !== index);
  if (twice !== undefined)
    return refuse('body-invalid', `ways: ${twice} is there twice; a channel is one way to a person`);
  for (const { channelId, address } of ways) {
    const setting = outbox.book().channels.get(channelId);
    if (setting === null)
      return refuse('channel-unknown', `ways: there is no channel ${channelId} to be set up as a way`);
    if (setting.isProgram)
      return refuse(
        'body-invalid',
        `ways: ${channelId} is for a program and hears everything; it is no way to a person`,
      );
    if (setting.kind === 'email' && (address === null || !isMailAddress(address)))
      return refuse('body-invalid', `ways: ${channelId} needs a mail address such as name@example.org`);
  }
  const hasSecond = ways.some(({ step }) => step === 'second');
  if (hasSecond && !ways.some(({ step }) => step === 'first'))
    return refuse('body-invalid', 'ways: a second way needs a first one before it');
  if (hasSecond && escalateAfterMin === null)
    return refuse('body-invalid', 'escalateAfterMin: say after how many minutes the second way is tried');
  return null;
}

export function removePerson(outbox: Outbox, personId: string): Outcome<null> {
  const book = outbox.book();
  if (!book.people.has(personId)) return refuse('person-unknown', `There is no person ${personId}.`);
  book.together(() => {
    for (const one of browsersOf(outbox, personId)) book.subscriptions.remove(one.subscriptionId);
    book.people.remove(personId);
  });
  outbox.settingsChanged([]);
  return done(null);
}

/** A browser that asks for messages. The same browser asking again is the same subscription. */
export function addBrowser(
  outbox: Outbox,
  personId: string,
  { channelId, subscription: { endpoint, keys } }: BrowserEntry,
  newId: NewId,
): Outcome<PushSubscription> {
  const book = outbox.book();
  if (!book.people.has(personId)) return refuse('person-unknown', `There is no person ${personId}.`);
  if (book.channels.get(channelId)?.kind !== 'web-push')
    return refuse('channel-unknown', `There is no channel ${channelId} for browsers.`);
  const known = book.subscriptions.values().find((one) => one.endpoint === endpoint);
  if (known === undefined && browsersOf(outbox, personId).length >= BROWSERS_MAX)
    return refuse('still-in-use', `${personId} has ${BROWSERS_MAX} browsers already. Remove one first.`);
  const subscription = { subscriptionId: known?.subscriptionId ?? newId(), personId, channelId, endpoint, ...keys };
  book.subscriptions.put(subscription.subscriptionId, subscription);
  outbox.settingsChanged([]);
  return done(subscription);
}

export function removeBrowser(outbox: Outbox, personId: string, subscriptionId: string): Outcome<null> {
  const book = outbox.book();
  if (book.subscriptions.get(subscriptionId)?.personId !== personId)
    return refuse('person-unknown', `${personId} has no browser ${subscriptionId}.`);
  book.subscriptions.remove(subscriptionId);
  outbox.settingsChanged([]);
  return done(null);
}

export function browsersOf(outbox: Outbox, personId: string): PushSubscription[] {
  return outbox
    .book()
    .subscriptions.values()
    .filter((one) => one.personId === personId);
}

function minutesOf(timeOfDay: string): number {
  return Number(timeOfDay.slice(0, 2)) * 60 + Number(timeOfDay.slice(3));
}
