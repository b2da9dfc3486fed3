import { useId, useState } from 'preact/hooks';
import type { Mute } from '../../store/actions.ts';
import type { Trouble as Told } from '../../store/api.ts';
import { Choice } from '../choice/choice.tsx';
import { TextField } from '../form/field.tsx';
import { Trouble, wrongAt } from '../form/trouble.tsx';
import { useEntry } from '../form/use-entry.ts';

interface Props {
  /** Whose alert it is, for screen readers. */
  readonly message: string;
  /** Danger is told all the same. */
  readonly urgent: boolean;
  readonly onMute: (entry: Mute) => Promise<Told | null>;
  readonly onClose: () => void;
}

const SPANS = [
  ['1', '1\u00a0h'],
  ['8', '8\u00a0h'],
  ['24', '24\u00a0h'],
  ['168', '7\u00a0days'],
] as const;
type Span = (typeof SPANS)[number][0];

/** For how long an alert is to be quiet, and why: others read the reason. */
export function MuteForm({ message, urgent, onMute, onClose }: Props) {
  const [span, setSpan] = useState<Span>('8');
  const [because, setBecause] = useState('');
  const entry = useEntry();
  const id = useId();
  const words = SPANS.find(([hours]) => hours === span)?.[1] ?? '';
  const submit = (event: Event): void => {
    event.preventDefault();
    const why = because.trim();
    void entry.send(() => onMute({ hours: Number(span), ...(why === '' ? {} : { because: why }) }), onClose);
  };
  return (
    <form class="mute" onSubmit={submit} aria-labelledby={id}>
      <p class="aside" id={id}>
        Quiet: {message}
      </p>
      <Choice label="Quiet for" value={span} choices={SPANS} onChoose={setSpan} />
      <TextField
        label="Why"
        value={because}
        hint="For whoever looks next; may be left empty"
        wrong={wrongAt(entry.trouble, '/because')}
        onValue={setBecause}
      />
      <p class="note">
        {urgent
          ? 'This is urgent: who is told of it is told all the same. Only the mark stands here.'
          : 'Who has not heard of it yet is left alone until then, also if it comes again. It stands here all the while, and who was told hears when it is over.'}
      </p>
      <div class="doing">
        <button class="btn main" type="submit" disabled={entry.busy}>
          Quiet for {words}
        </button>
        <button class="btn plain" type="button" onClick={onClose}>
          Leave it
        </button>
      </div>
      <Trouble trouble={entry.trouble} labels={{ '/because': 'Why' }} />
    </form>
  );
}
