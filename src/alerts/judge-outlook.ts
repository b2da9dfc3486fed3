import type { SpokenUnits } from '../domain/words.ts';
import type { AlertSample, EpisodeWords } from './episode.ts';
import type { KegView, OutlookView } from './keg-view.ts';
import * as words from './outlook-words.ts';
import { findHigh, limitOf, type Observation, type RuleName, type RuleSource } from './rule.ts';

const HOUR_MS = 3600_000;
/** Kegs of one supply that lose their gas within this time lose it by one cause (ms). */
const GAS_SCOPE_MS = 8 * HOUR_MS;

type Said = { readonly finding: Observation; readonly words: EpisodeWords; readonly endWords: EpisodeWords };

/** What the rules about states say of a keg at a moment. An empty keg ends what was said of its beer. */
export function judgeOutlook(rules: RuleSource, view: KegView, units: SpokenUnits): AlertSample[] {
  const { kegId, atMs, supplyId } = view;
  const sample = (rule: RuleName, said: Said, more: Partial<AlertSample> = {}): AlertSample => {
    return { rule, target: kegId, kegId, atMs, ...said, ...more };
  };
  const key = `supply/${supplyId}`;
  const gone = { rule: 'pressure-falling', target: supplyId } as const;
  const past = { rule: 'over-window', target: kegId } as const;
  const once =
    view.batchId === null ? [] : [sample('carbonated', carbonated(rules, view, units), { target: view.batchId })];
  return [
    sample('ready-to-fill', ready(view)),
    ...once,
    sample('will-pass-window', willPass(rules, view, units), { under: [past] }),
    sample('over-window', overWindow(rules, view, units)),
    sample('pressure-falling', noGas(view), {
      scope: { key, onsetMs: atMs, withinMs: GAS_SCOPE_MS },
      under: [gone],
    }),
    sample('leak', leak(rules, view)),
    sample('probe-zero', probeZero(view)),
    sample('entry-contradicts-probes', contradiction(view)),
  ];
}

function ready(view: KegView): Said {
  const found: Observation =
    view.verdict === 'ready' ? 'holds' : view.verdict === 'unknown' && view.batchId !== null ? 'unknown' : 'over';
  return { finding: found, words: words.readyWords(view), endWords: words.noLongerReadyWords(view) };
}

/** What a rule about the estimate finds: without beer it is over, without an estimate nobody knows. */
function found(view: KegView, find: (outlook: OutlookView) => Observation): Observation {
  if (view.batchId === null) return 'over';
  return view.outlook === null ? 'unknown' : find(view.outlook);
}

const NOTHING_KNOWN: OutlookView = {
  volumes: 0,
  insideProbability: 0,
  aboveProbability: 0,
  passesTopInHours: null,
  leakProbability: 0,
};

function carbonated(rules: RuleSource, view: KegView, units: SpokenUnits): Said {
  const rule = rules('carbonated');
  const outlook = view.outlook ?? NOTHING_KNOWN;
  return {
    finding: found(view, ({ insideProbability }) =>
      findHigh(insideProbability, limitOf(rule, 'insideMin'), limitOf(rule, 'insideEnd')),
    ),
    words: words.carbonatedWords(view, outlook, units),
    endWords: words.leftWindowWords(view, outlook, units),
  };
}

function willPass(rules: RuleSource, view: KegView, units: SpokenUnits): Said {
  const rule = rules('will-pass-window');
  const { target, equilibriumVolumes, atMs, turnsDownAtMs = null } = view;
  const hours = view.outlook?.passesTopInHours ?? null;
  return {
    finding: found(view, ({ passesTopInHours, volumes }) => {
      if (passesTopInHours === null || passesTopInHours > limitOf(rule, 'endHours')) return 'over';
      // A plan holds the pressure up for a while, and turns it down in time. Once that moment is past, it must have been done.
      const downInHours = turnsDownAtMs === null ? null : (turnsDownAtMs - atMs) / HOUR_MS;
      if (downInHours !== null && downInHours >= 0 && downInHours < passesTopInHours) return 'over';
      // Where the beer settles inside its window a risk comes from not knowing: a gas check tells, and the verdict says so.
      if (equilibriumVolumes === null) return 'between';
      if (equilibriumVolumes <= target.high && volumes <= target.high) return 'over';
      return passesTopInHours <= limitOf(rule, 'withinHours') ? 'holds' : 'between';
    }),
    words: words.willPassWords(view, hours ?? 0, units),
    endWords: words.willNotPassWords(view, units),
  };
}

function overWindow(rules: RuleSource, view: KegView, units: SpokenUnits): Said {
  const rule = rules('over-window');
  const outlook = view.outlook ?? NOTHING_KNOWN;
  return {
    finding: found(view, ({ aboveProbability }) =>
      findHigh(aboveProbability, limitOf(rule, 'aboveMin'), limitOf(rule, 'aboveEnd')),
    ),
    words: words.overWindowWords(view, outlook, units),
    endWords: words.insideAgainWords(view, outlook, units),
  };
}

function leak(rules: RuleSource, view: KegView): Said {
  const rule = rules('leak');
  return {
    finding: found(view, ({ leakProbability }) =>
      findHigh(leakProbability, limitOf(rule, 'probabilityMin'), limitOf(rule, 'probabilityEnd')),
    ),
    words: words.leakWords(view, view.outlook ?? NOTHING_KNOWN),
    endWords: words.noLeakWords(view),
  };
}

/** Whether one of some notices stands. */
function noticed(view: KegView, names: readonly string[]): Observation {
  if (view.batchId === null) return 'over';
  if (view.notices === null) return 'unknown';
  return view.notices.some(({ name, isOver }) => names.includes(name) && isOver !== true) ? 'holds' : 'over';
}

function noGas(view: KegView): Said {
  return {
    finding: noticed(view, ['gas-shut', 'open-but-no-gas']),
    words: words.noGasWords(view),
    endWords: words.gasBackWords(view),
  };
}

function probeZero(view: KegView): Said {
  return {
    finding: noticed(view, ['probe-zero']),
    words: words.probeZeroWords(view),
    endWords: words.zeroFitsWords(view),
  };
}

function contradiction(view: KegView): Said {
  const names = ['closed-but-holds', 'gas-opened'];
  const notice = view.notices?.find(({ name }) => names.includes(name)) ?? { name: 'closed-but-holds' };
  return {
    finding: noticed(view, names),
    words: words.contradictionWords(view, notice),
    endWords: words.agreesAgainWords(view),
  };
}
