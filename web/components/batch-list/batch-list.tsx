import type { Batch, Units } from '../../../src/contract/catalogue.ts';
import { carbonation, carbonationNumber } from '../../format/numbers.ts';
import type { Held } from '../../store/endings.ts';
import { pathOfBatch } from '../../store/routes.ts';
import './batch-list.css';
import { howLong, whenIn } from './words.ts';

interface Props {
  readonly id: string;
  readonly heading: string;
  readonly batches: readonly Batch[];
  readonly kegName: (kegId: string) => string;
  /** What it holds, or held in the end: null if nobody can tell, undefined while it is asked for. */
  readonly heldBy: (batch: Batch) => Held | null | undefined;
  readonly units: Units;
  readonly zone: string;
  readonly nowMs: number;
}

/** Batches, one a row: what it is, in which keg, from when to when, and what it held. */
export function BatchList(props: Props) {
  const { id, heading, batches } = props;
  return (
    <section class="part" aria-labelledby={id}>
      <header>
        <h2 id={id}>{heading}</h2>
        <p class="note">{batches.length}</p>
      </header>
      <ul class="rows">
        {batches.map((batch) => (
          <Row key={batch.batchId} {...props} batch={batch} />
        ))}
      </ul>
    </section>
  );
}

function Row({ batch, kegName, heldBy, units, zone, nowMs }: Props & { readonly batch: Batch }) {
  return (
    <li class="batch-row">
      <a href={pathOfBatch(batch.batchId)}>
        <b>{batch.name}</b> {batch.style !== null && <span class="soft">{batch.style}</span>}
      </a>
      <span>{kegName(batch.kegId)}</span>
      <span>
        {whenIn(batch, nowMs, zone)}
        <span class="soft">, {howLong(batch, nowMs)}</span>
      </span>
      <HeldText held={heldBy(batch)} isOpen={batch.endedAt === null} units={units} />
    </li>
  );
}

function HeldText({
  held,
  isOpen,
  units,
}: {
  readonly held: Held | null | undefined;
  readonly isOpen: boolean;
  readonly units: Units;
}) {
  if (held === undefined) return <span class="held soft">asking</span>;
  if (held === null) return <span class="held soft">{isOpen ? 'not told yet' : 'never told'}</span>;
  return (
    <span class="held">
      <b>{carbonation(held.volumes, units)}</b>
      {isOpen && ' now'}
      <span class="note">
        {carbonationNumber(held.low, units)} to {carbonationNumber(held.high, units)}
      </span>
    </span>
  );
}
