import type { Probe, Units } from '../../../src/contract/catalogue.ts';
import { measure } from '../../format/numbers.ts';
import { ageWords, amissWords, clockTime, durationWords } from '../../format/times.ts';
import { QUANTITY_WORD } from '../../format/words.ts';
import type { ProbeEntry } from '../../store/actions.ts';
import type { Trouble as Told } from '../../store/api.ts';
import { serviceNow } from '../../store/clock.ts';
import { zone } from '../../store/dashboard.ts';
import { AvailabilityForm } from '../availability-form/availability-form.tsx';
import { Trouble } from '../form/trouble.tsx';
import { useTrouble } from '../form/use-trouble.ts';
import { Sign } from '../sign/sign.tsx';
import './probe-list.css';

interface Props {
  readonly heading: string;
  readonly probes: readonly Probe[];
  readonly units: Units;
  readonly old: boolean;
  readonly onRemove: (probe: Probe) => Promise<Told | null>;
  readonly onPlace: (probeId: string, entry: ProbeEntry) => Promise<Told | null>;
}

/** The probes of one keg, place, gas supply or the site: value, age, and where it comes from. */
export function ProbeList({ heading, probes, ...shared }: Props) {
  return (
    <section class="part probes">
      <header>
        <h2>{heading}</h2>
      </header>
      <ul class="rows">
        {probes.map((probe) => (
          <Row key={probe.probeId} probe={probe} {...shared} />
        ))}
      </ul>
    </section>
  );
}

function Row({ probe, units, old, onRemove, onPlace }: Omit<Props, 'heading' | 'probes'> & { readonly probe: Probe }) {
  const [trouble, setTrouble] = useTrouble();
  const stale = old || probe.state === 'stale';
  const text = probe.lastValue === null ? 'nothing yet' : measure(probe.lastValue, probe.lastUnit, units);
  return (
    <li class={`probe${stale ? ' is-unknown' : ''}`}>
      <span class="n">
        {stale && <Sign kind="unknown" />}
        {QUANTITY_WORD[probe.quantity]}
      </span>
      <span class="v">{stale && probe.lastValue !== null ? <s>{text}</s> : text}</span>
      <span class={`a${probe.state === 'late' ? ' late-age' : ''}`}>{ageOf(probe, stale)}</span>
      <details>
        <summary>More</summary>
        <p class="note">
          Topic <code>{probe.topic}</code>
          {probe.pointer !== null && (
            <>
              , value at <code>{probe.pointer}</code>
            </>
          )}
          . {probe.usualIntervalMs !== null && `Usually speaks every ${durationWords(probe.usualIntervalMs)}.`}
        </p>
        <AvailabilityForm probe={probe} onPlace={onPlace} />
        <button class="btn" type="button" onClick={() => void onRemove(probe).then(setTrouble)}>
          Forget this probe<span class="aside">: {QUANTITY_WORD[probe.quantity]}</span>
        </button>
        <Trouble trouble={trouble} />
      </details>
      {probe.doubted !== null && <p class="doubted note">{doubtedWords(probe.doubted, probe.lastUnit, units)}</p>}
    </li>
  );
}

function ageOf(probe: Probe, stale: boolean): string {
  if (probe.lastHeardAt === null) return 'never heard';
  const atMs = Date.parse(probe.lastHeardAt);
  const now = serviceNow.value;
  if (probe.amiss !== null) return amissWords(probe.amiss, now, zone.value);
  return stale ? `last at ${clockTime(atMs, now, zone.value)}` : ageWords(now - atMs);
}

function doubtedWords({ value, at }: NonNullable<Probe['doubted']>, unit: string, units: Units): string {
  const time = clockTime(Date.parse(at), serviceNow.value, zone.value);
  return `Said ${measure(value, unit, units)} at ${time}. Nothing changes so fast, so this counts once two more agree.`;
}
