import './cautions.css';

const CAUTIONS: readonly (readonly [what: string, text: string])[] = [
  [
    'CO2 in closed rooms',
    'It is heavier than air, has no smell, and suffocates. Do not sleep or shut yourself in where a cylinder stands; air the room before you go in after a leak; keep cylinders upright and chained. A cellar needs a fixed CO2 alarm made and certified for it.',
  ],
  [
    'Pressure',
    'Use a regulator with a relief valve. Never put more on a keg, line or bottle than is stamped on it. Vent a keg before you open it. Do not lean over it.',
  ],
  [
    'Glass',
    'Fill only bottles made for the pressure of your beer, without chips or scratches, and keep them cold. A bottle filled too full, too lively or left in the warm can burst. Wear eye protection.',
  ],
  [
    'Freezing',
    'Beer that freezes bursts bottles and harms kegs and taps. The freezing point shown is an estimate from the alcohol.',
  ],
  [
    'Alcohol',
    'Mind the law on age and on selling where you are. Nobody who drank should lift kegs or change cylinders.',
  ],
];

/** What no program can watch for you. */
export function Cautions() {
  return (
    <section class="part" aria-labelledby="h-cautions">
      <header>
        <h2 id="h-cautions">Take care</h2>
      </header>
      <p class="lead">
        Quietkeg is no safety device. It may be late, wrong or silent: nobody’s safety may hang on it. Where local codes
        or qualified people say otherwise, they are right.
      </p>
      <dl class="cautions">
        {CAUTIONS.map(([what, text]) => (
          <div key={what}>
            <dt>{what}</dt>
            <dd>{text}</dd>
          </div>
        ))}
      </dl>
    </section>
  );
}
