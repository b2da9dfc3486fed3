import type { Rejection } from '../../../src/contract/catalogue.ts';
import { clockTime } from '../../format/times.ts';
import { serviceMinute } from '../../store/clock.ts';
import { zone } from '../../store/dashboard.ts';
import './rejections.css';

/** Messages that could not be used: topic, reason, first bytes. They are not kept as values. */
export function Rejections({
  count,
  rejections,
}: {
  readonly count: number;
  readonly rejections: readonly Rejection[];
}) {
  return (
    <section class="part rejections" aria-labelledby="h-rejections">
      <header>
        <h2 id="h-rejections">Heard, but not understood</h2>
        <p class="note">{count === 0 ? 'none' : `${count} so far`}</p>
      </header>
      {rejections.length === 0 ? (
        <p class="note">Every message so far was a value.</p>
      ) : (
        <ul class="rows">
          {rejections.map((rejection) => (
            <li key={rejection.topic + rejection.at} class="rejection">
              <p>
                <code>{rejection.topic}</code>{' '}
                <span class="note">{clockTime(Date.parse(rejection.at), serviceMinute.value, zone.value)}</span>
              </p>
              <p>{rejection.reason}</p>
              <p class="note">
                It said <code>{rejection.sample === '' ? '(nothing)' : rejection.sample}</code>
              </p>
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}
