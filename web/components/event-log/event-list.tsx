import type { ComponentChildren } from 'preact';
import type { Units } from '../../../src/contract/catalogue.ts';
import type { KeptEvent } from '../../../src/contract/event.ts';
import { clockTime } from '../../format/times.ts';
import { EVENT_WORD } from '../../format/words.ts';
import { serviceMinute } from '../../store/clock.ts';
import { zone } from '../../store/dashboard.ts';
import { eventDetail, type Names, sharedWith } from './entry.ts';
import './event-log.css';

interface Props {
  readonly events: readonly KeptEvent[];
  readonly units: Units;
  readonly names: Names;
  /** What can be done with an event. */
  readonly action?: (event: KeptEvent) => ComponentChildren;
}

/** Events as they are given, each with its time and what was entered. */
export function EventList({ events, units, names, action }: Props) {
  return (
    <ol>
      {events.map((event) => {
        const shared = sharedWith(event, names);
        return (
          <li key={event.eventId}>
            <span class="when">{clockTime(Date.parse(event.at), serviceMinute.value, zone.value)}</span>
            <div>
              <b>{EVENT_WORD[event.kind]}</b> {eventDetail(event, units)}
              {shared !== null && <span class="shared">for the whole {shared.name}</span>}
              {action?.(event)}
            </div>
          </li>
        );
      })}
    </ol>
  );
}
