import type { AlertHealth } from '../../../src/contract/alert.ts';

type Person = AlertHealth['people'][number];

/** Sum of a person's messages, and the day with most of them. Pure. */
export function personSentence({ name, days, waiting, givenUp }: Person): string {
  const total = days.reduce((sum, { messages }) => sum + messages, 0);
  const most = Math.max(0, ...days.map(({ messages }) => messages));
  const parts = [
    total === 0
      ? `${name} got no message in the last month.`
      : `${name} got ${total} ${total === 1 ? 'message' : 'messages'} on ${days.length} ${days.length === 1 ? 'day' : 'days'}, at most ${most} on one.`,
  ];
  if (waiting > 0) parts.push(`${waiting} waiting.`);
  if (givenUp > 0) parts.push(`${givenUp} never arrived.`);
  return parts.join(' ');
}

/** "15 begins and 12 ends in 31 days, 1 of them urgent." */
export function totalSentence(days: AlertHealth['days']): string {
  const sum = (key: 'begins' | 'ends' | 'urgent'): number => days.reduce((total, day) => total + day[key], 0);
  const [begins, ends, urgent] = [sum('begins'), sum('ends'), sum('urgent')];
  if (begins + ends === 0) return 'Nothing was told in the last 30 days.';
  return `In the last 30 days ${begins} ${begins === 1 ? 'alert' : 'alerts'} began, ${urgent === 0 ? 'none' : urgent} of them urgent, and ${ends} ended.`;
}

export const HEARTBEAT_WORD: Readonly<Record<AlertHealth['heartbeat']['state'], string>> = {
  'not-set':
    'Nobody watches Quietkeg itself. Let a service elsewhere wait for its heartbeat: set QUIETKEG_HEARTBEAT_URL to the address that it gives you.',
  untried: 'The first heartbeat is on its way.',
  works:
    'A value that Quietkeg publishes to itself comes back and is kept, messages can be sent, and the watcher hears of it.',
  failing: 'No heartbeat is taken, so the watcher elsewhere will tell you.',
};
