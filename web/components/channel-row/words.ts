import type { ChannelReport, ChannelTestResult } from '../../../src/contract/channel.ts';
import type { VerdictKind } from '../../../src/contract/state.ts';
import { durationWords } from '../../format/times.ts';

export type Kind = ChannelReport['kind'];

export const KIND_WORD: Readonly<Record<Kind, string>> = {
  live: 'open pages',
  mqtt: 'MQTT',
  email: 'e-mail',
  webhook: 'signed webhook',
  relay: 'any HTTP service',
  'web-push': 'browsers',
};

export const STATE_WORD: Readonly<Record<ChannelReport['state'], string>> = {
  untried: 'not tried yet',
  works: 'works',
  retrying: 'tries again',
  failing: 'does not work',
};
export const STATE_SIGN: Readonly<Record<ChannelReport['state'], VerdictKind>> = {
  untried: 'unknown',
  works: 'ready',
  retrying: 'wait',
  failing: 'act',
};

const OUTCOME_WORD: Readonly<Record<ChannelTestResult['results'][number]['outcome'], string>> = {
  taken: 'Taken',
  refused: 'Refused',
  gone: 'The receiver is no more',
  failed: 'Did not arrive',
};

/** "Taken by keg.example after 0.2 s. It answered: 200 OK" */
export function testSentence({ to, outcome, answer, tookMs }: ChannelTestResult['results'][number]): string {
  const took = tookMs < 1000 ? `${tookMs}\u00a0ms` : durationWords(tookMs);
  return `${OUTCOME_WORD[outcome]}: ${to}, after ${took}. The answer was: ${answer}`;
}

/** Where a channel sends, in a few words; empty for those that have no address. */
export function whereTo({ kind, setting }: Pick<ChannelReport, 'kind' | 'setting'>): string {
  switch (kind) {
    case 'email':
      return `By ${setting.host ?? ''}, from ${setting.from ?? ''}`;
    case 'webhook':
    case 'relay':
      return `To ${setting.url ?? ''}`;
    case 'mqtt':
      return 'On quietkeg/…/alert, for programs';
    case 'live':
      return 'Those who look at a page hear at once; nobody is told by it';
    case 'web-push':
      return 'Phones and computers that asked for it';
  }
}
