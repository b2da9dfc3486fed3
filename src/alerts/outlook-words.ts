import { carbonationWords, pressureWords, type SpokenUnits, spanWords } from '../domain/words.ts';
import type { EpisodeWords } from './episode.ts';
import type { KegView, NoticeView, OutlookView } from './keg-view.ts';

/** Messages of rules about a keg's state: what and how much, then what to do; both together fit a short message. */

const told = (message: string, advice: string, figures: Partial<EpisodeWords> = {}): EpisodeWords => ({
  measured: null,
  limit: null,
  unit: null,
  ...figures,
  message,
  advice,
});

export function readyWords({ name }: KegView): EpisodeWords {
  return told(`${name} is ready to fill.`, 'All checks pass. Chill and purge the bottles, and fill while it stays so.');
}

export function noLongerReadyWords({ name, headline }: KegView): EpisodeWords {
  return told(`${name} is no longer ready to fill.`, headline);
}

export function carbonatedWords({ name, target }: KegView, { volumes }: OutlookView, units: SpokenUnits): EpisodeWords {
  return told(
    `${name} is carbonated as wished: ${carbonationWords(volumes, units)}.`,
    `Keep it there: its window ends at ${carbonationWords(target.high, units)}.`,
    { measured: volumes, limit: target.high, unit: '{volumes}' },
  );
}

export function leftWindowWords({ name, target }: KegView, { volumes }: OutlookView, units: SpokenUnits): EpisodeWords {
  return told(`${name} is no longer inside its window: ${carbonationWords(volumes, units)}.`, 'Look at its pressure.', {
    measured: volumes,
    limit: target.high,
    unit: '{volumes}',
  });
}

function turnWords({ advisedKpaGauge }: KegView, units: SpokenUnits): string {
  if (advisedKpaGauge === null) return 'Turn the regulator down';
  return `Turn the regulator to ${pressureWords(advisedKpaGauge, units)}`;
}

export function willPassWords(view: KegView, hours: number, units: SpokenUnits): EpisodeWords {
  const when = hours < 1 ? 'soon' : `in ${spanWords({ hours, lowHours: hours, highHours: hours })}`;
  return told(
    `${view.name} may go past its window (${carbonationWords(view.target.high, units)}) ${when}.`,
    `${turnWords(view, units)} before then, or it will gush when you fill.`,
    { measured: hours, unit: 'h' },
  );
}

export function willNotPassWords(view: KegView, units: SpokenUnits): EpisodeWords {
  return told(`${view.name} stays below ${carbonationWords(view.target.high, units)} for now.`, '');
}

export function overWindowWords(view: KegView, { volumes }: OutlookView, units: SpokenUnits): EpisodeWords {
  return told(
    `${view.name} is past its window: ${carbonationWords(volumes, units)}, wished at most ${carbonationWords(view.target.high, units)}.`,
    'Close its gas and vent a little at a time for a day; then let it rest.',
    { measured: volumes, limit: view.target.high, unit: '{volumes}' },
  );
}

export function insideAgainWords(view: KegView, { volumes }: OutlookView, units: SpokenUnits): EpisodeWords {
  return told(`${view.name} is no longer past its window: ${carbonationWords(volumes, units)}.`, '', {
    measured: volumes,
    limit: view.target.high,
    unit: '{volumes}',
  });
}

export function noGasWords({ name }: KegView): EpisodeWords {
  return told(
    `No gas seems to reach ${name}: its pressure falls with the gas on.`,
    'Today, look at cylinder, valve and regulator. If you shut a valve, enter it.',
  );
}

export function gasBackWords({ name }: KegView): EpisodeWords {
  return told(`Gas reaches ${name} again.`, '');
}

export function leakWords({ name }: KegView, { leakProbability }: OutlookView): EpisodeWords {
  return told(
    `${name} seems to leak: with the gas closed its pressure fell too fast.`,
    'Today, brush lid and posts with soapy water. CO2 gathers in closed rooms: air them.',
    { measured: leakProbability, unit: '1' },
  );
}

export function noLeakWords({ name }: KegView): EpisodeWords {
  return told(`${name} no longer looks as if it leaks.`, '');
}

export function probeZeroWords({ name }: KegView): EpisodeWords {
  return told(
    `The pressure probe of ${name} seems to be off its zero.`,
    'Set its zero in open air when the keg is empty, and enter that.',
  );
}

export function zeroFitsWords({ name }: KegView): EpisodeWords {
  return told(`The pressure probe of ${name} fits again.`, '');
}

export function contradictionWords({ name }: KegView, notice: NoticeView): EpisodeWords {
  return notice.name === 'gas-opened'
    ? told(
        `${name}: the gas is entered as closed, but the pressure jumped to what the supply gives.`,
        'Enter that it was opened, or see whether the valve is shut.',
      )
    : told(
        `${name}: the gas is entered as closed, but the pressure holds as if it were open.`,
        'See whether the valve is really shut, and correct the entry.',
      );
}

export function agreesAgainWords({ name }: KegView): EpisodeWords {
  return told(`${name}: probes and entries agree again.`, '');
}
