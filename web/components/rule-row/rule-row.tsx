import { useState } from 'preact/hooks';
import type { Rule } from '../../../src/contract/alert.ts';
import type { Units } from '../../../src/contract/catalogue.ts';
import type { RuleEntry } from '../../store/actions.ts';
import type { Answer, Trouble as Told } from '../../store/api.ts';
import { NumberField, Tick } from '../form/field.tsx';
import { Trouble } from '../form/trouble.tsx';
import { useEntry } from '../form/use-entry.ts';
import { fieldsOf, type RuleField, type RuleFields, readRule, typedFields, usualFields, wrongOf } from './entry.ts';
import '../../styles/lists.css';
import { TrialResult } from './trial.tsx';
import type { Trial, TrialEpisode } from './trial-words.ts';
import { LEVEL_WORD, WATCHES } from './words.ts';

interface Props {
  readonly rule: Rule;
  readonly units: Units;
  /** What an episode of a trial is of, by name. */
  readonly subject: (episode: TrialEpisode) => string;
  readonly onTry: (entry: RuleEntry) => Promise<Answer<Trial>>;
  readonly onKeep: (entry: RuleEntry) => Promise<Told | null>;
}

/** One rule in words, with its settings, which can be tried on the past before they are kept. */
export function RuleRow(props: Props) {
  const { rule, units } = props;
  const [opened, setOpened] = useState(false);
  const changed = fieldsOf(rule, units).some(({ value, usual }) => value !== usual);
  const marks = [LEVEL_WORD[rule.level], ...(rule.enabled ? [] : ['off']), ...(changed ? ['changed'] : [])];
  return (
    <li class={rule.enabled ? 'rule' : 'rule off'}>
      <details onToggle={(event) => setOpened(event.currentTarget.open)}>
        <summary>
          <span class="name">{rule.title}</span>
          <span class="note">{marks.join(', ')}</span>
        </summary>
        <RuleWords rule={rule} />
        {opened && <RuleForm {...props} />}
      </details>
    </li>
  );
}

function RuleWords({ rule }: { readonly rule: Rule }) {
  const said = [
    ['It watches', WATCHES[rule.rule]],
    ['What it means', rule.cause],
    ['What comes of it', rule.consequence],
    ['What to do', rule.action],
    ['Time to act', rule.timeToAct],
    ['Where its limits come from', rule.source],
  ] as const;
  return (
    <dl class="said">
      {said.map(([what, words]) => (
        <div key={what}>
          <dt>{what}</dt>
          <dd>{words}</dd>
        </div>
      ))}
    </dl>
  );
}

interface Tried {
  readonly now: Trial | null;
  readonly proposed: Trial | null;
}

function RuleForm({ rule, units, subject, onTry, onKeep }: Props) {
  const fields = fieldsOf(rule, units);
  const [typed, setTyped] = useState<RuleFields>(() => typedFields(fields, units));
  const [enabled, setEnabled] = useState(rule.enabled);
  const [tried, setTried] = useState<Tried | null>(null);
  const trial = useEntry();
  const keep = useEntry();
  const trouble = keep.trouble ?? trial.trouble;
  const busy = trial.busy || keep.busy;
  // What was tried is no longer what stands in the fields.
  const change = (next: RuleFields): void => {
    setTyped(next);
    setTried(null);
  };
  const read = (refuse: (detail: string) => void): RuleEntry | null => {
    const entry = readRule(fields, typed, enabled, units);
    if (entry === null) refuse('One of the numbers is none. Correct the marked field.');
    return entry;
  };
  const tryIt = async (): Promise<void> => {
    const entry = read(trial.refuse);
    if (entry !== null) await trial.send(() => compare(rule, entry, onTry, setTried));
  };
  const submit = (event: Event): void => {
    event.preventDefault();
    const entry = read(keep.refuse);
    if (entry !== null)
      void keep.send(
        () => onKeep(entry),
        () => setTried(null),
      );
  };
  return (
    <form onSubmit={submit}>
      <Tick
        checked={enabled}
        onChange={(next) => {
          setEnabled(next);
          setTried(null);
        }}
      >
        This rule is on
      </Tick>
      {!enabled && <p class="note">What it has told and is still open is ended, and said to be.</p>}
      <RuleNumbers fields={fields} typed={typed} units={units} trouble={trouble} onChange={change} />
      <div class="doing">
        <button class="btn" type="button" disabled={busy} onClick={() => void tryIt()}>
          {trial.busy ? 'Going through a month' : 'Try it on the last 30 days'}
        </button>
        <button class="btn main" type="submit" disabled={busy}>
          Keep it so
        </button>
        <button class="btn plain" type="button" disabled={busy} onClick={() => change(usualFields(fields, units))}>
          Fill in what is usual
        </button>
        {keep.done && <span class="note">Kept.</span>}
      </div>
      <Trouble trouble={trouble} labels={Object.fromEntries(fields.map(({ pointer, label }) => [pointer, label]))} />
      {tried !== null && <TrialResult {...tried} subject={subject} />}
    </form>
  );
}

/** Tries the rule as it is and as it is proposed, one after the other: each takes the service some work. */
async function compare(
  rule: Rule,
  entry: RuleEntry,
  onTry: Props['onTry'],
  show: (tried: Tried) => void,
): Promise<Told | null> {
  const proposed = await onTry(entry);
  if (!proposed.ok) return proposed.trouble;
  const now = rule.enabled ? await onTry({}) : null;
  if (now !== null && !now.ok) return now.trouble;
  show({ now: now === null ? null : now.body, proposed: entry.enabled === false ? null : proposed.body });
  return null;
}

function RuleNumbers({
  fields,
  typed,
  units,
  trouble,
  onChange,
}: {
  readonly fields: readonly RuleField[];
  readonly typed: RuleFields;
  readonly units: Units;
  readonly trouble: Told | null;
  readonly onChange: (typed: RuleFields) => void;
}) {
  return (
    <div class="fields">
      {fields.map((field) => (
        <NumberField
          key={field.pointer}
          label={field.label}
          value={typed[field.pointer] ?? ''}
          required
          hint={field.hint}
          wrong={wrongOf(trouble, field, units)}
          onValue={(value) => onChange({ ...typed, [field.pointer]: value })}
        />
      ))}
    </div>
  );
}
