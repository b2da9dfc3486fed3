import { useState } from 'preact/hooks';
import type { Units } from '../../../src/contract/catalogue.ts';
import type { BottleNote } from '../../../src/contract/fill.ts';
import { later } from '../../store/clock.ts';
import type { LocalBottle } from '../../store/fill-queue.ts';
import { PURGE_S } from '../../store/purge.ts';
import { bottleSize } from '../fill-start/sizes.ts';
import './fill-count.css';

/** A wet finger that bounces does not fill a second bottle (ms). */
const BOUNCE_MS = 400;

const NOTES: readonly (readonly [BottleNote, string])[] = [
  ['foamy', 'Foamed'],
  ['gushed', 'Gushed'],
  ['spilled', 'Spilled'],
  ['under-filled', 'Too low'],
];

export interface CountProps {
  readonly last: Pick<LocalBottle, 'number' | 'note'> | null;
  readonly nextNumber: number;
  /** Sizes of this fill; with one of them nothing is to choose. */
  readonly sizesL: readonly number[];
  readonly nextSizeL: number;
  readonly units: Units;
  /** Seconds of the purge that are left, 0 when it is enough, null while nobody purges. */
  readonly purgeLeftS: number | null;
  readonly onFull: () => void;
  readonly onNote: (note: BottleNote) => void;
  readonly onUndo: () => void;
  readonly onSize: (sizeL: number) => void;
  readonly onPurge: () => void;
  readonly onStop: () => void;
}

/** Notes, the one big field, undo and stop: all that wet hands touch while bottles are filled. */
export function FillCount(props: CountProps) {
  const { last, nextNumber, nextSizeL, units, onFull, onUndo, onStop } = props;
  const [resting, setResting] = useState(false);
  const full = (): void => {
    setResting(true);
    later(BOUNCE_MS, () => setResting(false));
    navigator.vibrate?.(30);
    onFull();
  };
  return (
    <>
      <Notes {...props} />
      <div class="fill-row">
        <Sizes {...props} />
        <Purge {...props} />
      </div>
      <button class="big" type="button" disabled={resting} onClick={full}>
        Bottle
        <b>{nextNumber}</b>
        is full
        <span>{bottleSize(nextSizeL, units)}. Tap anywhere in this field</span>
      </button>
      <div class="undo">
        <button class="btn" type="button" disabled={last === null} onClick={onUndo}>
          {last === null ? 'Nothing to undo' : `Undo bottle ${last.number}`}
        </button>
        <button class="btn" type="button" onClick={onStop}>
          Stop
        </button>
      </div>
    </>
  );
}

function Notes({ last, onNote }: CountProps) {
  return (
    <fieldset class="notes">
      <legend>
        {last === null ? 'A note is tapped after its bottle.' : `About bottle ${last.number}, if anything:`}
      </legend>
      {NOTES.map(([note, word]) => (
        <button
          key={note}
          class="btn"
          type="button"
          disabled={last === null}
          aria-pressed={last?.note === note}
          onClick={() => onNote(last?.note === note ? 'clean' : note)}
        >
          {word}
        </button>
      ))}
    </fieldset>
  );
}

function Sizes({ sizesL, nextSizeL, units, onSize }: CountProps) {
  if (sizesL.length < 2) return null;
  return (
    <fieldset class="choice">
      <legend class="aside">Size of the next bottle</legend>
      {sizesL.map((sizeL) => (
        <button key={sizeL} class="btn" type="button" aria-pressed={sizeL === nextSizeL} onClick={() => onSize(sizeL)}>
          {bottleSize(sizeL, units)}
        </button>
      ))}
    </fieldset>
  );
}

function Purge({ purgeLeftS, onPurge }: CountProps) {
  const words =
    purgeLeftS === null
      ? `Time a purge: ${PURGE_S}\u00a0s`
      : purgeLeftS === 0
        ? 'Purged: fill it'
        : `Gas in: ${purgeLeftS}\u00a0s`;
  return (
    <button class="btn purge" type="button" onClick={onPurge}>
      <span aria-live="polite">{words}</span>
    </button>
  );
}
