import { Tick } from '../form/field.tsx';
import './fill-checklist.css';
import type { Group } from './groups.ts';

interface Props {
  readonly groups: readonly Group[];
  readonly ticked: readonly string[];
  readonly onTick: (ticked: readonly string[]) => void;
}

/** What is to be seen to, grouped by its purpose; ticks are kept on this device. */
export function FillChecklist({ groups, ticked, onTick }: Props) {
  const change = (id: string, on: boolean): void => onTick(on ? [...ticked, id] : ticked.filter((one) => one !== id));
  return (
    <div class="checklist">
      {groups.map((group) => (
        <section class="part" key={group.id} aria-labelledby={`h-${group.id}`}>
          <header>
            <h2 id={`h-${group.id}`}>{group.heading}</h2>
            {group.ticks && (
              <p class="note">
                {group.entries.filter(({ id }) => ticked.includes(id)).length} of {group.entries.length}
              </p>
            )}
          </header>
          <ul>
            {group.entries.map(({ id, text }) => (
              <li key={id}>
                {group.ticks ? (
                  <Tick checked={ticked.includes(id)} onChange={(on) => change(id, on)}>
                    {text}
                  </Tick>
                ) : (
                  text
                )}
              </li>
            ))}
          </ul>
        </section>
      ))}
    </div>
  );
}
