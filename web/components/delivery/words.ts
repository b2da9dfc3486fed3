import type { Delivery } from '../../../src/contract/delivery.ts';
import { durationWords } from '../../format/times.ts';
import { counted, listed } from '../../format/words.ts';

/** How surely readings come in, in words. Pure. */
const thousands = new Intl.NumberFormat('en');
const many = (count: number): string => thousands.format(count);
const are = (count: number): string => (count === 1 ? 'is' : 'are');

/** "Since Quietkeg was started 1,204 values came in: 1,200 are stored, 3 came twice, 1 was not understood." */
export function ledgerSentence({ received, stored, duplicates, rejected, waiting }: Delivery['ledger']): string {
  const since = 'Since Quietkeg was started';
  if (received === 0) return `${since} no value came in.`;
  const came = `${since} ${many(received)} ${received === 1 ? 'value' : 'values'} came in`;
  if (stored === received) return `${came}, and ${received === 1 ? 'it is' : 'all are'} stored.`;
  const parts = [
    stored === 0 ? '' : `${many(stored)} ${are(stored)} stored`,
    duplicates === 0 ? '' : `${many(duplicates)} came twice and count once`,
    rejected === 0 ? '' : `${many(rejected)} ${rejected === 1 ? 'was' : 'were'} not understood`,
    waiting === 0 ? '' : `${many(waiting)} ${waiting === 1 ? 'waits' : 'wait'} on disk for the store`,
  ];
  return `${came}: ${listed(parts.filter((part) => part !== ''))}.`;
}

/** What the service says as a part of a log line, as a sentence of its own. */
export const asSentence = (said: string): string =>
  `${said.charAt(0).toUpperCase()}${said.slice(1)}${/[.!?]$/.test(said) ? '' : '.'}`;

/** What holds readings up just now; nothing is lost by it. */
export function delaySentences({ catchUp, clock, heldMessages }: Delivery): string[] {
  const said: string[] = [];
  if (catchUp !== null) {
    const { waiting, secondsLeft } = catchUp;
    const left =
      secondsLeft === null ? 'The store takes none now.' : `In about ${durationWords(secondsLeft * 1000)} all are in.`;
    said.push(`${many(waiting)} values wait for the store. ${left}`);
  }
  if (clock !== null) said.push(asSentence(clock));
  if (heldMessages > 0) {
    const messages = heldMessages === 1 ? 'message is' : 'messages are';
    said.push(`${many(heldMessages)} ${messages} held until the time is known.`);
  }
  return said;
}

export function brokerSentence({ kind, version }: Delivery['broker']): string {
  if (kind === 'embedded') return 'Probes speak to Quietkeg’s own broker: what it took is on disk before it answers.';
  return `Probes speak to a broker of yours${version === null ? '' : ` (${version})`}, and Quietkeg listens there.`;
}

/** Needs somebody first, then what cannot be told, then what is well. */
const ORDER = { act: 0, unknown: 1, good: 2 } as const;
export const byNeed = (audit: Delivery['broker']['audit']): Delivery['broker']['audit'] =>
  audit.toSorted((a, b) => ORDER[a.state] - ORDER[b.state]);

type Probes = Delivery['probes'];

/** How the probes send, all together. */
export function sendingSentence(probes: Probes): string {
  const count = (delivery: Probes[number]['delivery']): number =>
    probes.filter((probe) => probe.delivery === delivery).length;
  const [lossy, unheard, sure] = [count('can-be-lost'), count('unknown'), count('answered')];
  if (probes.length === 0) return 'No probe is known yet.';
  const parts = [
    [sure, 'sends again until answered', 'send again until answered'],
    [lossy, 'sends once and forgets (QoS 0)', 'send once and forget (QoS 0)'],
  ] as const;
  const said = parts.flatMap(([number, one, more]) =>
    number === 0 ? [] : [{ number, does: number === 1 ? one : more, of: '' }],
  );
  const all =
    unheard === 0 ? said : [...said, { number: unheard, does: 'nothing was heard since the start', of: 'of ' }];
  const text = listed(
    all.map(({ number, does, of }, index) => {
      // The first names what is counted.
      const what = index > 0 ? '' : number === 1 ? ' probe' : ' probes';
      return `${of}${counted(number).toLowerCase()}${what} ${does}`;
    }),
  );
  return `${text.charAt(0).toUpperCase()}${text.slice(1)}.`;
}

/** "Its clock is 3 min behind."; empty if it is right or not known. */
export function clockSentence({ clockOffS }: Pick<Probes[number], 'clockOffS'>): string {
  if (clockOffS === null || clockOffS === 0) return '';
  return `Its clock is ${durationWords(Math.abs(clockOffS) * 1000)} ${clockOffS > 0 ? 'behind' : 'ahead'}.`;
}
