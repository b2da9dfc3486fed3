import type * as contract from '../contract/index.ts';
import { conditionsOfFill } from '../domain/fill/afterwards.ts';
import {
  type CleanLearning,
  type Factor,
  type FillLesson,
  learnCleanFills,
  shareRange,
} from '../domain/fill/clean-learning.ts';
import type { FillRecord } from '../domain/fill/fill.ts';
import { pressureWords } from '../domain/words.ts';
import type { FillBook } from '../ports/fill-book.ts';
import type { Fills } from './fills.ts';
import type { Register } from './register.ts';

export interface CleanFillsOptions {
  readonly register: Register;
  readonly book: FillBook;
  readonly fills: Pick<Fills, 'contextOf' | 'recalled'>;
}

/** How sure a factor must be before it is suggested: nine times in ten. */
const SURE = 0.9;
const VERY_SURE = 0.95;

/** What gave clean fills here: told by its numbers, and as a suggestion for the next time. */
export class CleanFills {
  readonly #options: CleanFillsOptions;

  constructor(options: CleanFillsOptions) {
    this.#options = options;
  }

  async learnt(): Promise<contract.CleanFills> {
    const { register, book, fills } = this.#options;
    const { line } = register.site();
    const over = book.records().filter(({ fill, bottles }) => fill.endedAtMs !== null && bottles.length > 0);
    // Which pressure suits is a matter of the line: fills over another one say nothing of this.
    const here = over.filter(({ fill }) => JSON.stringify(fill.line) === JSON.stringify(line));
    const lessons: FillLesson[] = [];
    for (const record of here) {
      const lesson = this.#lesson(await fills.recalled(record));
      if (lesson !== null) lessons.push(lesson);
    }
    const learning = learnCleanFills(lessons);
    const { kpaGauge, low, high } = learning.pressure;
    return {
      line: line === null ? null : { ...line },
      otherLineFills: over.length - here.length,
      unheardFills: here.length - lessons.length,
      fewData: learning.fewData,
      all: share(lessons),
      pressure: { kpaGauge, low, high },
      factors: factorsOf(lessons, learning),
      suggestion: this.#suggestion(learning),
    };
  }

  #lesson(record: FillRecord): FillLesson | null {
    const { beerC, kpaGauge, dissolved } = conditionsOfFill(record);
    if (beerC === null || kpaGauge === null) return null;
    const foamy = record.bottles.filter(
      ({ note }) => note === 'foamy' || note === 'gushed' || note === 'spilled',
    ).length;
    const { restHours } = this.#options.fills.contextOf(record);
    return {
      bottles: record.bottles.length,
      foamy,
      beerC,
      kpaGauge,
      volumes: dissolved?.volumes ?? null,
      restHours,
    };
  }

  #suggestion({ fills, bottles, fewData, pressure, moreFoams }: CleanLearning): string[] {
    const { units } = this.#options.register.site();
    const words = (kpa: number): string => pressureWords(kpa, units);
    const range = `${words(pressure.low)} to ${words(pressure.high)}`;
    if (fewData) {
      const counted = `${fills} ${fills === 1 ? 'fill' : 'fills'} with ${bottles} ${bottles === 1 ? 'bottle' : 'bottles'}`;
      return [
        `Few data: ${counted}. Until there are more, begin with about ${words(pressure.kpaGauge)}; what suits your line may be anywhere from ${range}.`,
      ];
    }
    const sentences = [
      `Fill at about ${words(pressure.kpaGauge)}: nine times in ten what suits your line lies from ${range}. Never below the pressure of the beer’s own gas, and never above what is stamped on the keg.`,
    ];
    const sure = (probability: number): string =>
      probability >= VERY_SURE ? 'very likely: 19 times in 20' : 'likely: nine times in ten';
    if (moreFoams.temperature >= SURE)
      sentences.push(`Fill colder: warm fills foamed more (${sure(moreFoams.temperature)}).`);
    if (moreFoams.carbonation >= SURE)
      sentences.push(`Livelier beer foamed more (${sure(moreFoams.carbonation)}): stay low in the window.`);
    if (1 - moreFoams.rest >= SURE)
      sentences.push(`Let the keg rest longer: that foamed less (${sure(1 - moreFoams.rest)}).`);
    return sentences;
  }
}

function share(lessons: readonly FillLesson[]) {
  const sum = (of: (lesson: FillLesson) => number): number => lessons.reduce((total, lesson) => total + of(lesson), 0);
  return {
    fills: lessons.length,
    bottles: sum(({ bottles }) => bottles),
    foamy: sum(({ foamy }) => foamy),
    ...shareRange(lessons),
  };
}

const MEASURES: readonly {
  readonly name: contract.CleanFills['factors'][0]['name'];
  readonly unit: string;
  readonly of: (lesson: FillLesson) => number | null;
  readonly factor: Factor | null;
}[] = [
  { name: 'temperature', unit: 'Cel', of: ({ beerC }) => beerC, factor: 'temperature' },
  { name: 'pressure', unit: 'kPa', of: ({ kpaGauge }) => kpaGauge, factor: null },
  { name: 'carbonation', unit: '{volumes}', of: ({ volumes }) => volumes, factor: 'carbonation' },
  { name: 'rest', unit: 'h', of: ({ restHours }) => restHours, factor: 'rest' },
];
/** Halves of fewer fills say nothing. */
const HALVED = 4;

/** The fills in two halves by each measure: what anybody can check by hand. */
function factorsOf(lessons: readonly FillLesson[], learning: CleanLearning): contract.CleanFills['factors'] {
  return MEASURES.flatMap(({ name, unit, of, factor }) => {
    const known = lessons.flatMap((lesson) => {
      const value = of(lesson);
      return value === null ? [] : { lesson, value };
    });
    const ordered = known.toSorted((a, b) => a.value - b.value);
    const middle = Math.floor(ordered.length / 2);
    const [before, after] = [ordered[middle - 1], ordered[middle]];
    if (ordered.length < HALVED || before === undefined || after === undefined) return [];
    const shareOf = (part: typeof ordered) => share(part.map(({ lesson }) => lesson));
    return {
      name,
      unit,
      limit: (before.value + after.value) / 2,
      below: shareOf(ordered.slice(0, middle)),
      above: shareOf(ordered.slice(middle)),
      moreFoams: factor === null ? null : learning.moreFoams[factor],
    };
  });
}
