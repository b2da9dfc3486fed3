import type { KegState } from '../../../src/contract/state.ts';
import { clockTime, longDay } from '../../format/times.ts';
import { VERDICT_WAS, withoutStop } from '../../format/words.ts';
import { serviceMinute } from '../../store/clock.ts';
import { zone } from '../../store/dashboard.ts';
import { fillPathOf, gasCheckPathOf, pathOfBatch } from '../../store/routes.ts';
import { StateWord } from '../sign/state-word.tsx';
import './keg-head.css';

/** Head of a keg's page: the word, the beer, and the one thing to do. */
export function KegHead({ keg, oldSinceMs }: { readonly keg: KegState; readonly oldSinceMs: number | null }) {
  const kind = oldSinceMs === null ? keg.verdict.kind : 'unknown';
  const filled = keg.filledAt === null ? null : `filled ${longDay(Date.parse(keg.filledAt), zone.value)}`;
  const facts = [keg.style, keg.batchName === null ? null : keg.name, filled].filter((text) => text !== null);
  const sentence =
    oldSinceMs === null
      ? keg.verdict.headline
      : `${VERDICT_WAS[keg.verdict.kind]} at ${clockTime(oldSinceMs, serviceMinute.value, zone.value)}.`;
  return (
    <div class={`head is-${kind}`}>
      <p class="name">
        <a href="/">‹ All kegs</a>
        <b>{keg.batchId === null ? keg.name : <a href={pathOfBatch(keg.batchId)}>{keg.batchName ?? keg.name}</a>}</b>{' '}
        <span class="soft">{facts.join(', ')}</span>
      </p>
      <StateWord kind={kind} heading />
      <p class={kind === 'act' ? 'slip' : 'say-so'}>{kind === 'act' ? withoutStop(sentence) : sentence}</p>
      {keg.batchId !== null && keg.gasCheck === null && (
        <p class="to-fill">
          <a class={kind === 'ready' ? 'btn main' : 'btn'} href={fillPathOf(keg.kegId)}>
            Fill bottles
          </a>
        </p>
      )}
      {keg.gasCheck !== null && (
        <p class="in-check">
          Gas check since {clockTime(Date.parse(keg.gasCheck.since), serviceMinute.value, zone.value)}.{' '}
          <a class="btn" href={gasCheckPathOf(keg.kegId)}>
            See what it says
          </a>
        </p>
      )}
    </div>
  );
}
