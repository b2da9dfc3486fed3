import type { LocalBottle } from '../../store/fill-queue.ts';
import { useSize } from '../use-size.ts';
import './fill-tally.css';
import { layOutTally } from './layout.ts';
import { tallySentence } from './words.ts';

interface Props {
  readonly bottles: readonly Pick<LocalBottle, 'number' | 'note'>[];
  readonly planned: number;
  /** "done about 19:52"; null while that cannot be told. */
  readonly doneWords: string | null;
}

/** How many bottles are full: in figures, as strokes, and for those who hear it. */
export function FillTally({ bottles, planned, doneWords }: Props) {
  const [ref, size] = useSize<HTMLDivElement>();
  const tally = size === null ? null : layOutTally(size.width, bottles.length, planned);
  const noted = new Set(bottles.flatMap(({ note }, index) => (note === 'clean' ? [] : index + 1)));
  return (
    <section class="tally" aria-label={tallySentence(bottles, planned)}>
      <h1>{planned > 0 ? `${bottles.length} of ${planned} full` : `${bottles.length} full`}</h1>
      <p class="note">{doneWords}</p>
      <div class="strokes" ref={ref}>
        {tally !== null && size !== null && (
          <svg aria-hidden="true" width={size.width} height={tally.height}>
            {tally.dots.map(({ x, y }) => (
              <circle key={`${x} ${y}`} class="to-come" cx={x} cy={y} r={2.2} />
            ))}
            {tally.strokes.map(({ number, path, ring }) => (
              <g key={number}>
                <path d={path} />
                {noted.has(number) && <circle class="noted" cx={ring.x} cy={ring.y} r={5} />}
              </g>
            ))}
          </svg>
        )}
      </div>
      <p class="aside" role="status">
        {tallySentence(bottles, planned)}
      </p>
    </section>
  );
}
