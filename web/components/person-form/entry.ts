import type { ChannelReport, Person } from '../../../src/contract/channel.ts';
import type { PersonInput } from '../../store/telling.ts';
import { numberFrom } from '../form/field.tsx';

export type Step = 'none' | 'first' | 'second';
export interface WayFields {
  readonly channelId: string;
  readonly step: Step;
  readonly address: string;
}
type Units = NonNullable<Person['units']>;

/** The form as typed. Units are empty where the fridge's are taken. */
export interface PersonFields {
  readonly name: string;
  readonly timeZone: string;
  readonly temperature: Units['temperature'] | '';
  readonly pressure: Units['pressure'];
  readonly carbonation: Units['carbonation'];
  readonly quietFrom: string;
  readonly quietTo: string;
  readonly leastLevel: Person['leastLevel'];
  readonly escalateAfterMin: string;
  readonly ways: readonly WayFields[];
}

/** Channels by which a person can be told: those for programs and the built-in ones are none. */
export const waysFor = (channels: readonly ChannelReport[]): readonly ChannelReport[] =>
  channels.filter(({ builtIn, program }) => !builtIn && !program);

export function personFields(person: Person | null, channels: readonly ChannelReport[]): PersonFields {
  const ways = waysFor(channels).map(({ channelId }) => {
    const way = person?.ways.find((one) => one.channelId === channelId);
    return { channelId, step: way?.step ?? 'none', address: way?.address ?? '' } as const;
  });
  return {
    name: person?.name ?? '',
    timeZone: person?.timeZone ?? '',
    temperature: person?.units?.temperature ?? '',
    pressure: person?.units?.pressure ?? 'bar',
    carbonation: person?.units?.carbonation ?? 'volumes',
    quietFrom: person?.quietHours?.from ?? '',
    quietTo: person?.quietHours?.to ?? '',
    leastLevel: person?.leastLevel ?? 'news',
    escalateAfterMin: person === null ? '30' : String(person.escalateAfterMin ?? ''),
    ways,
  };
}

/** What is sent; or what is wrong with it before it is. */
export function readPerson(fields: PersonFields): PersonInput | string {
  const { name, timeZone, temperature, pressure, carbonation, quietFrom, quietTo, leastLevel, ways } = fields;
  if ((quietFrom === '') !== (quietTo === ''))
    return 'Quiet hours need a beginning and an end, or leave both of them empty.';
  const hasSecond = ways.some(({ step }) => step === 'second');
  const after = numberFrom(fields.escalateAfterMin);
  if (hasSecond && after === null) return 'Say after how many minutes the second way is tried, such as 30.';
  return {
    name: name.trim(),
    timeZone: timeZone.trim() === '' ? null : timeZone.trim(),
    units: temperature === '' ? null : { temperature, pressure, carbonation },
    quietHours: quietFrom === '' ? null : { from: quietFrom, to: quietTo },
    leastLevel,
    escalateAfterMin: after,
    ways: ways.flatMap(({ channelId, step, address }) => {
      return step === 'none' ? [] : [{ channelId, step, address: address.trim() === '' ? null : address.trim() }];
    }),
  };
}
