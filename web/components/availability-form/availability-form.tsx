import { useState } from 'preact/hooks';
import type { Probe } from '../../../src/contract/catalogue.ts';
import type { ProbeEntry } from '../../store/actions.ts';
import type { Trouble as Told } from '../../store/api.ts';
import { TextField } from '../form/field.tsx';
import { Trouble, wrongAt } from '../form/trouble.tsx';
import { useEntry } from '../form/use-entry.ts';
import { type AvailabilityFields, entryOf, fieldsOf } from './entry.ts';

/** Fields that say themselves what the service refused of them. */
const LABELS = {
  '/availability/topic': 'Topic of its device',
  '/availability/online': 'When it is there it says',
  '/availability/offline': 'When it is gone it says',
} as const;

interface Props {
  readonly probe: Probe;
  readonly onPlace: (probeId: string, entry: ProbeEntry) => Promise<Told | null>;
}

/** On which topic a probe's device says whether it is online. */
export function AvailabilityForm({ probe, onPlace }: Props) {
  const [typed, setTyped] = useState<AvailabilityFields | null>(null);
  const fields = typed ?? fieldsOf(probe);
  const entry = useEntry();
  const set = (change: Partial<AvailabilityFields>): void => setTyped({ ...fields, ...change });
  const submit = (event: Event): void => {
    event.preventDefault();
    void entry.send(
      () => onPlace(probe.probeId, entryOf(probe, fields)),
      () => setTyped(null),
    );
  };
  return (
    <form onSubmit={submit}>
      <p class="note">
        If its device says on a topic whether it is online, Quietkeg need not wait for silence: name the topic.{' '}
        {said(probe)}
      </p>
      <div class="fields">
        <TextField
          label={LABELS['/availability/topic']}
          value={fields.topic}
          placeholder="garage/shelf-7/status"
          hint="Empty: it says so nowhere"
          wrong={wrongAt(entry.trouble, '/availability/topic')}
          onValue={(topic) => set({ topic })}
        />
        {fields.topic.trim() !== '' && (
          <>
            <TextField
              label={LABELS['/availability/online']}
              value={fields.online}
              hint="Empty: online or true"
              wrong={wrongAt(entry.trouble, '/availability/online')}
              onValue={(online) => set({ online })}
            />
            <TextField
              label={LABELS['/availability/offline']}
              value={fields.offline}
              hint="Empty: offline or false"
              wrong={wrongAt(entry.trouble, '/availability/offline')}
              onValue={(offline) => set({ offline })}
            />
          </>
        )}
      </div>
      <div class="doing">
        <button class="btn" type="submit" disabled={entry.busy || typed === null}>
          Keep it
        </button>
      </div>
      <Trouble trouble={entry.trouble} labels={LABELS} />
    </form>
  );
}

function said({ availability, device }: Probe): string {
  if (availability === null) return '';
  return device === null ? 'It has said nothing yet that is understood.' : `It said last that it is ${device}.`;
}
