import { useState } from 'preact/hooks';
import type { Delivery } from '../../../src/contract/delivery.ts';
import { timeSpan } from '../../format/times.ts';
import { CAUSE_SENTENCE } from '../../format/words.ts';
import { CopyLine } from '../copy-line/copy-line.tsx';
import { Sign } from '../sign/sign.tsx';
import './delivery.css';
import {
  asSentence,
  brokerSentence,
  byNeed,
  clockSentence,
  delaySentences,
  ledgerSentence,
  sendingSentence,
} from './words.ts';

interface Props {
  readonly report: Delivery;
  readonly probeName: (probeId: string) => string;
  readonly zone: string;
  readonly nowMs: number;
}

/** How readings reach us, how surely, and which setting would make it surer. */
export function DeliveryReport({ report, probeName, zone, nowMs }: Props) {
  const { ledger, broker, probes, gaps } = report;
  return (
    <section class="part delivery" aria-labelledby="h-delivery">
      <header>
        <h2 id="h-delivery">How readings reach us</h2>
      </header>
      <p>{ledgerSentence(ledger)}</p>
      {delaySentences(report).map((sentence) => (
        <p key={sentence} class="is-unknown needs">
          <Sign kind="unknown" />
          {sentence}
        </p>
      ))}
      <h3 class="sub">The broker</h3>
      <p>{brokerSentence(broker)}</p>
      {broker.trouble !== null && (
        <p class="is-act needs">
          <Sign kind="act" />
          {asSentence(broker.trouble)}
        </p>
      )}
      {broker.audit.length > 0 && (
        <ul class="rows">
          {byNeed(broker.audit).map((finding) => (
            <Finding key={finding.name} finding={finding} />
          ))}
        </ul>
      )}
      <h3 class="sub">The probes</h3>
      <p>{sendingSentence(probes)}</p>
      <Advised probes={probes} probeName={probeName} />
      <h3 class="sub">Where readings may be missing</h3>
      <Gaps gaps={gaps} zone={zone} nowMs={nowMs} />
    </section>
  );
}

const FINDING_SIGN = { good: 'ready', act: 'act', unknown: 'unknown' } as const;

function Finding({ finding: { state, message, setting } }: { readonly finding: Delivery['broker']['audit'][number] }) {
  const sign = FINDING_SIGN[state];
  return (
    <li class={`finding is-${sign}`}>
      <Sign kind={sign} />
      <div>
        <p class="says">{message}</p>
        {setting !== null && state === 'act' && (
          <>
            <p class="note">In the broker’s mosquitto.conf:</p>
            <CopyLine text={setting} label="the lines" />
          </>
        )}
        {setting !== null && state !== 'act' && (
          <details>
            <summary>The setting that makes sure of it</summary>
            <CopyLine text={setting} label="the lines" />
          </details>
        )}
      </div>
    </li>
  );
}

/** Probes of which something should be changed. */
function Advised({ probes, probeName }: { readonly probes: Delivery['probes'] } & Pick<Props, 'probeName'>) {
  const advised = probes.filter(({ advice }) => advice !== '');
  if (advised.length === 0) return null;
  return (
    <ul class="rows">
      {advised.map((probe) => (
        <li key={probe.probeId} class="finding is-act">
          <Sign kind="act" />
          <div>
            <p class="says">{probeName(probe.probeId)}</p>
            <p>
              {clockSentence(probe)} {probe.advice}
            </p>
            <p class="note">
              Topic <code>{probe.topic}</code>
            </p>
          </div>
        </li>
      ))}
    </ul>
  );
}

const SHOWN_FIRST = 5;

function Gaps({ gaps, zone, nowMs }: Pick<Delivery, 'gaps'> & Pick<Props, 'zone' | 'nowMs'>) {
  const [all, setAll] = useState(false);
  if (gaps.length === 0) return <p>Nowhere, as far as is known.</p>;
  const shown = all ? gaps : gaps.slice(0, SHOWN_FIRST);
  return (
    <>
      <ul class="rows lost">
        {shown.map(({ from, to, cause }) => (
          <li key={`${from} ${cause}`}>
            {CAUSE_SENTENCE[cause]} {timeSpan(Date.parse(from), Date.parse(to), nowMs, zone)}.
          </li>
        ))}
      </ul>
      {gaps.length > SHOWN_FIRST && (
        <button class="btn plain" type="button" aria-expanded={all} onClick={() => setAll(!all)}>
          {all ? 'Show fewer' : `Show all ${gaps.length}`}
        </button>
      )}
      <p class="note">
        While Quietkeg is not running nothing is lost if the broker keeps it and the probes send again until answered.
      </p>
    </>
  );
}
