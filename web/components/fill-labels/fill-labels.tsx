import type { Units } from '../../../src/contract/catalogue.ts';
import type { Fill, FilledBottle } from '../../../src/contract/fill.ts';
import { carbonation } from '../../format/numbers.ts';
import { dayOfYear } from '../../format/times.ts';
import { bottleSize } from '../fill-start/sizes.ts';
import './fill-labels.css';

interface Props {
  readonly fill: Fill;
  readonly drinkBy: string | null;
  readonly abvPercent: number | null;
  readonly units: Units;
  readonly zone: string;
  readonly nowMs: number;
}

/** A sheet of labels, one a bottle that is still there; printing the page prints these alone. */
export function FillLabels({ fill, drinkBy, abvPercent, units, zone, nowMs }: Props) {
  const bottles = fill.bottles.filter(({ destination }) => destination !== 'drunk');
  const day = (instant: string): string => dayOfYear(Date.parse(instant), nowMs, zone);
  const volumes = (bottle: FilledBottle): string =>
    bottle.conditions?.dissolved == null ? '' : `, ${carbonation(bottle.conditions.dissolved.volumes, units)}`;
  return (
    <section class="part labels" aria-labelledby="h-labels">
      <header>
        <h2 id="h-labels">Labels</h2>
        <button class="btn" type="button" onClick={() => print()}>
          Print them
        </button>
      </header>
      <ol class="label-sheet">
        {bottles.map((bottle) => (
          <li key={bottle.bottleId}>
            <b>{fill.batchName ?? fill.kegId}</b>
            <span class="label-number">{bottle.number}</span>
            <span>
              {bottleSize(bottle.sizeL, units)}
              {abvPercent !== null && `, ${abvPercent}\u00a0% alcohol`}
              {volumes(bottle)}
            </span>
            <span>
              Filled {day(bottle.filledAt)}
              {drinkBy !== null && `, drink by ${day(drinkBy)}`}
            </span>
            <span>Keep cold and upright. Under pressure: do not shake.</span>
          </li>
        ))}
      </ol>
    </section>
  );
}
