import type { z } from 'zod';
import type { AlertMute, Episode, RuleChange, RuleTrial } from '../../src/contract/alert.ts';
import type {
  Batch,
  BatchDescription,
  KegChange,
  Probe,
  ProbeSetting,
  Site,
  SiteChange,
} from '../../src/contract/catalogue.ts';
import type { BatchStart, EventEntry, KeptEvent } from '../../src/contract/event.ts';
import type { WhatIfAnswer, WhatIfRequest } from '../../src/contract/what-if.ts';
import { EVENT_WORD, listed } from '../format/words.ts';
import { type Answer, ask, type Method, type Trouble } from './api.ts';
import { showSite } from './dashboard.ts';

/** What a person may change. Each resolves with what went wrong, or null if the service took it. */
export type NewBatch = z.input<typeof BatchStart>;
export type NewEvent = z.input<typeof EventEntry>;
export type ProbeEntry = z.input<typeof ProbeSetting>;
export type SiteEntry = z.input<typeof SiteChange>;
export type BatchEntry = z.input<typeof BatchDescription>;
export type KegEntry = z.input<typeof KegChange>;

const id = encodeURIComponent;
const TRIAL_MS = 120_000;

async function change(method: Method, path: string, content?: unknown): Promise<Trouble | null> {
  const answer = await ask(method, path, content);
  return answer.ok ? null : answer.trouble;
}

export const addKeg = (kegId: string): Promise<Trouble | null> => change('PUT', `/kegs/${id(kegId)}`, {});
export const changeKeg = (kegId: string, entry: KegEntry): Promise<Trouble | null> =>
  change('PUT', `/kegs/${id(kegId)}`, entry);
export const removeKeg = (kegId: string): Promise<Trouble | null> => change('DELETE', `/kegs/${id(kegId)}`);
export const enterEvent = (kegId: string, event: NewEvent): Promise<Trouble | null> =>
  change('POST', `/kegs/${id(kegId)}/events`, event);
/** As `enterEvent`, and what was kept: its id is the way back. */
export const keepEvent = (kegId: string, event: NewEvent): Promise<Answer<KeptEvent>> =>
  ask<KeptEvent>('POST', `/kegs/${id(kegId)}/events`, event);
export const withdrawEvent = (kegId: string, eventId: string): Promise<Trouble | null> =>
  change('DELETE', `/kegs/${id(kegId)}/events/${id(eventId)}`);

/** Starts a batch, then enters what else was said of it. Stops at the first trouble and tells what was kept. */
export async function startBatch(
  kegId: string,
  batch: NewBatch,
  further: readonly NewEvent[],
): Promise<Trouble | null> {
  const trouble = await change('POST', `/kegs/${id(kegId)}/batch`, batch);
  if (trouble !== null) return trouble;
  for (const [index, event] of further.entries()) {
    const refused = await enterEvent(kegId, event);
    if (refused !== null) {
      const left = further.slice(index).map(({ kind }) => EVENT_WORD[kind].toLowerCase());
      return { ...refused, lead: `The beer was entered, but not all about it. Still to enter: ${listed(left)}.` };
    }
  }
  return null;
}

/** Describes a batch anew; what is left out stays as it is. */
export const describeBatch = (batchId: string, entry: BatchEntry): Promise<Answer<Batch>> =>
  ask<Batch>('PATCH', `/batches/${id(batchId)}`, entry);

/** A question, not a change: it may be given up and asked again. */
export const askWhatIf = (request: WhatIfRequest, signal: AbortSignal): Promise<Answer<WhatIfAnswer>> =>
  ask<WhatIfAnswer>('POST', '/what-if', request, { changes: false, signal });

export const placeProbe = (probeId: string, entry: ProbeEntry): Promise<Trouble | null> =>
  change('PUT', `/probes/${id(probeId)}`, entry);
export const removeProbe = (probe: Pick<Probe, 'probeId'>): Promise<Trouble | null> =>
  change('DELETE', `/probes/${id(probe.probeId)}`);

export const acknowledge = (alert: Pick<Episode, 'id'>): Promise<Trouble | null> =>
  change('POST', `/alerts/${id(alert.id)}/acknowledgement`);
export type Mute = z.input<typeof AlertMute>;
export const mute = (alert: Pick<Episode, 'id'>, entry: Mute): Promise<Trouble | null> =>
  change('POST', `/alerts/${id(alert.id)}/mute`, entry);
export const unmute = (alert: Pick<Episode, 'id'>): Promise<Trouble | null> =>
  change('DELETE', `/alerts/${id(alert.id)}/mute`);

export type RuleEntry = z.input<typeof RuleChange>;
export const keepRule = (rule: string, entry: RuleEntry): Promise<Trouble | null> =>
  change('PUT', `/rules/${id(rule)}`, entry);
/** A question, not a change. The service goes through a month for it. */
export const tryRule = (rule: string, entry: RuleEntry): Promise<Answer<RuleTrial>> =>
  ask<RuleTrial>('POST', `/rules/${id(rule)}/try`, entry, { changes: false, patienceMs: TRIAL_MS });

/** Changes the site and shows it as the service kept it. */
export async function changeSite(entry: SiteEntry): Promise<Trouble | null> {
  const answer = await ask<Site>('PUT', '/site', entry);
  if (!answer.ok) return answer.trouble;
  showSite(answer.body);
  return null;
}
