import type { Units } from '../../../src/contract/catalogue.ts';
import type { FillPlan } from '../../../src/contract/plan.ts';
import { carbonation, digits, pressure, temperature, volume } from '../../format/numbers.ts';
import { bottleSize, secondsWords } from './words.ts';

interface Props {
  readonly plan: FillPlan;
  readonly units: Units;
}

type Row = readonly [figure: string, what: string];

function Rows({ rows }: { readonly rows: readonly Row[] }) {
  return (
    <dl class="need">
      {rows.flatMap(([figure, what]) => [<dt key={`${what}-figure`}>{figure}</dt>, <dd key={what}>{what}</dd>])}
    </dl>
  );
}

/** What to get ready. */
export function Needs({ plan, units }: Props) {
  const { needs, bottleGroups } = plan;
  const count = bottleGroups.reduce((sum, group) => sum + group.count, 0);
  const sizes = bottleGroups.map((group) => `${group.count} of ${bottleSize(group.litres, units)}`).join(', ');
  const left = needs.beerLeftL === null ? '' : ` of ${volume(needs.beerLeftL, units)} left in the keg`;
  const gas = needs.co2LeftGrams === null ? '' : ` of ${Math.round(needs.co2LeftGrams)}\u00a0g in the cylinder`;
  const rows: Row[] = [
    [String(needs.bottles), `bottles: ${sizes}, ${needs.bottles - count} spare`],
    [String(needs.caps), 'caps'],
    [volume(needs.beerL, units), `beer${left}, with line and foam`],
    [`${needs.co2Grams}\u00a0g`, `CO2${gas}`],
    [volume(needs.sanitiserL, units), 'sanitiser, and a tub for what overflows'],
    [`${needs.sessionMinutes}\u00a0min`, 'from setting up to rinsing'],
  ];
  return (
    <section class="part" aria-labelledby="h-needs">
      <header>
        <h2 id="h-needs">What you need</h2>
      </header>
      <Rows rows={rows} />
    </section>
  );
}

/** What to set on the day, and what to expect of it. */
export function SetPoints({ plan, units }: Props) {
  const { setPoints: points } = plan;
  const { line } = points;
  const rows: Row[] = [
    [pressure(points.servingKpaGauge, units), 'in the keg while filling'],
    [pressure(points.purgeKpaGauge, units), 'to purge each bottle, two or three seconds'],
    ...points.secondsPerBottle.map(
      ({ litres, seconds, slowSeconds }): Row => [
        secondsWords(seconds, slowSeconds),
        `to fill ${bottleSize(litres, units)} through ${digits(line.lengthM, 1)}\u00a0m of ${digits(line.boreMm, 1)}\u00a0mm line`,
      ],
    ),
    [
      pressure(points.breakoutKpaGauge, units),
      points.breaksOut
        ? 'is the beer’s own pressure: it will foam in the line'
        : 'is the beer’s own pressure: below it would foam in the line',
    ],
    [
      `${carbonation(points.bottleVolumes, units)}`,
      `in the bottle at least, of ${carbonation(points.kegVolumes, units)} in the keg: measured of one lager poured into a glass`,
    ],
    [
      pressure(points.bottleKpaGaugeAt20C, units),
      `in the bottle at ${temperature(20, units)}, ${pressure(points.bottleKpaGaugeAt30C, units)} at ${temperature(30, units)}; ordinary glass is good for ${pressure(points.glassSafeKpaGauge, units)}`,
    ],
  ];
  return (
    <section class="part" aria-labelledby="h-set-points">
      <header>
        <h2 id="h-set-points">On the day</h2>
        {points.lineAssumed && <p class="note">Your line is not entered: a usual one is taken</p>}
      </header>
      <Rows rows={rows} />
    </section>
  );
}

/** What is dangerous or doubtful, worst first. */
export function PlanCautions({ plan }: { readonly plan: FillPlan }) {
  return (
    <section class="part" aria-labelledby="h-plan-care">
      <header>
        <h2 id="h-plan-care">Take care</h2>
      </header>
      <ul class="care-list">
        {plan.cautions.map((caution) => (
          <li key={caution} class={!plan.setPoints.glassIsSafe && caution.startsWith('Do not fill') ? 'grave' : ''}>
            {caution}
          </li>
        ))}
      </ul>
    </section>
  );
}
