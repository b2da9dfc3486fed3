import { useState } from 'preact/hooks';
import type { Units } from '../../../src/contract/catalogue.ts';
import type { BottleEntry, BottleNote, Destination, FilledBottle } from '../../../src/contract/fill.ts';
import { carbonation, pressure, temperature } from '../../format/numbers.ts';
import { clockTime } from '../../format/times.ts';
import { VERDICT_WORD } from '../../format/words.ts';
import type { Trouble } from '../../store/api.ts';
import { bottleSize } from '../fill-start/sizes.ts';
import { NOTE_WORD } from '../fill-tally/words.ts';
import { SelectField, TextField } from '../form/field.tsx';
import { Trouble as TroubleText } from '../form/trouble.tsx';
import './fill-bottles.css';

export type Change = (bottleId: string, entry: BottleEntry) => Promise<Trouble | null>;

interface Props {
  readonly bottles: readonly FilledBottle[];
  readonly units: Units;
  readonly zone: string;
  readonly nowMs: number;
  readonly onChange: Change;
}

export const DESTINATION_WORD: Readonly<Record<Destination, string>> = {
  kept: 'kept',
  competition: 'to a competition',
  gift: 'given away',
  party: 'to a party',
  drunk: 'drunk',
};
const OPINION_WORD = { good: 'good', 'so-so': 'so-so', bad: 'not good' } as const;

/** The bottles of a fill by their numbers: how they went, what the keg was like, where they are, how they tasted. */
export function FillBottles({ bottles, units, zone, nowMs, onChange }: Props) {
  const [open, setOpen] = useState<string | null>(null);
  return (
    <ul class="rows bottles">
      {bottles.map((bottle) => (
        <li key={bottle.bottleId} id={`bottle-${bottle.number}`}>
          <div class="bottle">
            <b class="number">{bottle.number}</b>
            <p>
              {[bottleSize(bottle.sizeL, units), NOTE_WORD[bottle.note], bottle.remark].filter(Boolean).join(', ')}
              <span class="note">{whereWords(bottle)}</span>
            </p>
            <p class="note">
              {clockTime(Date.parse(bottle.filledAt), nowMs, zone)}
              <span>{conditionWords(bottle.conditions, units)}</span>
            </p>
            <button
              class="btn plain"
              type="button"
              aria-expanded={open === bottle.bottleId}
              onClick={() => setOpen(open === bottle.bottleId ? null : bottle.bottleId)}
            >
              Change<span class="aside"> bottle {bottle.number}</span>
            </button>
          </div>
          {bottle.tasting !== null && (
            <p class="tasted">
              Tasted {clockTime(Date.parse(bottle.tasting.at), nowMs, zone)}
              {bottle.tasting.opinion !== null && `, ${OPINION_WORD[bottle.tasting.opinion]}`}: {bottle.tasting.text}
            </p>
          )}
          {open === bottle.bottleId && <BottleForm bottle={bottle} onChange={onChange} onDone={() => setOpen(null)} />}
        </li>
      ))}
    </ul>
  );
}

function whereWords({ destination, destinationText }: FilledBottle): string {
  if (destination === 'kept' && destinationText === null) return '';
  return [DESTINATION_WORD[destination], destinationText].filter(Boolean).join(': ');
}

/** "1.2 °C, 68 kPa, 2.41 volumes, ready" */
export function conditionWords(conditions: FilledBottle['conditions'], units: Units): string {
  if (conditions === null) return 'what the keg was like is not looked up yet';
  const { beerTemperatureC, headspaceKpaGauge, dissolved, verdict } = conditions;
  const facts = [
    beerTemperatureC === null ? null : temperature(beerTemperatureC, units),
    headspaceKpaGauge === null ? null : pressure(headspaceKpaGauge, units),
    dissolved === null ? null : carbonation(dissolved.volumes, units),
    verdict === null ? null : VERDICT_WORD[verdict].toLowerCase(),
  ];
  const known = facts.filter((fact) => fact !== null);
  return known.length === 0 ? 'nothing was heard of the keg then' : known.join(', ');
}

const NOTES = Object.entries(NOTE_WORD) as [BottleNote, string][];
const DESTINATIONS = Object.entries(DESTINATION_WORD) as [Destination, string][];
const OPINIONS = [['', 'nothing said'], ...Object.entries(OPINION_WORD)] as [string, string][];

function BottleForm({
  bottle,
  onChange,
  onDone,
}: {
  readonly bottle: FilledBottle;
  readonly onChange: Change;
  readonly onDone: () => void;
}) {
  const [note, setNote] = useState<string>(bottle.note);
  const [remark, setRemark] = useState(bottle.remark ?? '');
  const [destination, setDestination] = useState<string>(bottle.destination);
  const [whereTo, setWhereTo] = useState(bottle.destinationText ?? '');
  const [tasted, setTasted] = useState(bottle.tasting?.text ?? '');
  const [opinion, setOpinion] = useState<string>(bottle.tasting?.opinion ?? '');
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const save = async (): Promise<void> => {
    const text = tasted.trim();
    const told = await onChange(bottle.bottleId, {
      note: note as BottleNote,
      remark: remark.trim() || null,
      destination: destination as Destination,
      destinationText: whereTo.trim() || null,
      tasting:
        text === ''
          ? null
          : {
              text,
              opinion: opinion === '' ? null : (opinion as keyof typeof OPINION_WORD),
              ...(bottle.tasting === null ? {} : { at: bottle.tasting.at }),
            },
    });
    setTrouble(told);
    if (told === null) onDone();
  };
  return (
    <form
      class="bottle-form"
      onSubmit={(event) => {
        event.preventDefault();
        void save();
      }}
    >
      <SelectField label="How it went" value={note} onValue={setNote} choices={NOTES} />
      <TextField label="Remark" value={remark} onValue={setRemark} />
      <SelectField label="Where it is" value={destination} onValue={setDestination} choices={DESTINATIONS} />
      <TextField label="Which, or for whom" value={whereTo} onValue={setWhereTo} />
      <TextField label="How it tasted" value={tasted} onValue={setTasted} wide />
      <SelectField label="In a word" value={opinion} onValue={setOpinion} choices={OPINIONS} />
      {trouble !== null && <TroubleText trouble={trouble} />}
      <div class="doing">
        <button class="btn main" type="submit">
          Keep
        </button>
        <button class="btn" type="button" onClick={onDone}>
          Leave it
        </button>
      </div>
    </form>
  );
}
