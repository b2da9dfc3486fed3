import type { TastingList } from '../../../src/contract/fill.ts';
import { dayOfYear } from '../../format/times.ts';
import { pathOfFill } from '../../store/routes.ts';
import './tastings.css';

interface Props {
  readonly tastings: TastingList['tastings'];
  readonly zone: string;
  readonly nowMs: number;
}

/** Bottles that are to be tasted, each by its number: weeks later nobody remembers which was which. */
export function Tastings({ tastings, zone, nowMs }: Props) {
  if (tastings.length === 0)
    return <p class="note">Nothing to taste. Three weeks after a fill its first, middle and last bottle stand here.</p>;
  return (
    <ul class="rows tastings">
      {tastings.map(({ fillId, bottleId, number, kegId, batchName, filledAt, dueAt, due }) => (
        <li key={`${fillId} ${bottleId}`}>
          <a href={`${pathOfFill(fillId)}#bottle-${number}`}>
            {batchName ?? kegId}, bottle <b>{number}</b>
          </a>
          <span class="note">
            filled {dayOfYear(Date.parse(filledAt), nowMs, zone)},{' '}
            {due ? 'taste it now' : `taste it from ${dayOfYear(Date.parse(dueAt), nowMs, zone)}`}
          </span>
        </li>
      ))}
    </ul>
  );
}
