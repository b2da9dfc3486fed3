import type { FillSummary } from '../../../src/contract/fill.ts';
import { dayOfYear } from '../../format/times.ts';
import { fillPathOf, pathOfFill } from '../../store/routes.ts';
import { NOTE_WORD } from '../fill-tally/words.ts';
import './fill-list.css';

interface Props {
  readonly fills: readonly FillSummary[];
  readonly zone: string;
  readonly nowMs: number;
}

/** Fills, newest first, each in a line. */
export function FillRows({ fills, zone, nowMs }: Props) {
  return (
    <ul class="rows fill-rows">
      {fills.map((fill) => (
        <li key={fill.fillId}>
          <a href={fill.endedAt === null ? fillPathOf(fill.kegId) : pathOfFill(fill.fillId)}>
            <b>{fill.batchName ?? fill.kegId}</b>
            <span>{countWords(fill)}</span>
            <span class="note">
              {fill.endedAt === null ? 'goes on now' : dayOfYear(Date.parse(fill.startedAt), nowMs, zone)}
            </span>
          </a>
        </li>
      ))}
    </ul>
  );
}

/** "24 bottles, 2 foamed" */
export function countWords({ bottleCount, notes }: Pick<FillSummary, 'bottleCount' | 'notes'>): string {
  const noted = (['foamy', 'gushed', 'spilled', 'under-filled'] as const)
    .filter((note) => notes[note] > 0)
    .map((note) => `${notes[note]} ${NOTE_WORD[note]}`);
  return [`${bottleCount} ${bottleCount === 1 ? 'bottle' : 'bottles'}`, ...noted].join(', ');
}
