import type { Probe } from '../../../src/contract/catalogue.ts';
import { ageWords } from '../../format/times.ts';
import { PROBE_WORD } from '../../format/words.ts';
import { serviceNow } from '../../store/clock.ts';
import type { Besides } from './entry.ts';

interface Props {
  /** Keg, place or gas supply that the probe is for. */
  readonly name: string;
  readonly rivals: readonly Probe[];
  readonly busy: boolean;
  readonly onChoose: (besides: Besides) => void;
  readonly onLeave: () => void;
}

/** Something measures this already: is the new probe to help it, or to take its place? Never decided unasked. */
export function RivalQuestion({ name, rivals, busy, onChoose, onLeave }: Props) {
  return (
    <div class="rival">
      {rivals.map((probe) => (
        <p key={probe.probeId}>
          {name} has {PROBE_WORD[probe.quantity]} already, {heardWords(probe)}: <code>{probe.topic}</code>
        </p>
      ))}
      <p class="note">
        Of several that tell the same, the one heard last counts. One that is replaced is no longer listened to; what it
        told so far is kept.
      </p>
      <div class="doing">
        <button class="btn" type="button" disabled={busy} onClick={() => onChoose({ kind: 'as-well' })}>
          Use this one as well
        </button>
        {rivals.map((probe) => (
          <button
            key={probe.probeId}
            class="btn"
            type="button"
            disabled={busy}
            onClick={() => onChoose({ kind: 'instead', of: probe })}
          >
            {rivals.length === 1 ? 'Use this one instead of it' : `Instead of ${probe.topic}`}
          </button>
        ))}
        <button class="btn plain" type="button" onClick={onLeave}>
          Leave it
        </button>
      </div>
    </div>
  );
}

const heardWords = (probe: Probe): string =>
  probe.lastHeardAt === null
    ? 'never heard yet'
    : `heard ${ageWords(serviceNow.value - Date.parse(probe.lastHeardAt))}`;
