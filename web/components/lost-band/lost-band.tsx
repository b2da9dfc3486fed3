import { clockTime, durationWords } from '../../format/times.ts';
import { deviceNow } from '../../store/clock.ts';
import { zone } from '../../store/dashboard.ts';
import './lost-band.css';

interface Props {
  /** When the service was last heard, by this device's clock; null if never. */
  readonly sinceMs: number | null;
  readonly otherVersion: boolean;
}

/** The one block of cobalt: nothing is heard, what stands below is old, and what to look at. */
export function LostBand({ sinceMs, otherVersion }: Props) {
  if (otherVersion) {
    return (
      <section class="band-lost" aria-label="Nothing is heard">
        <h2>This page and Quietkeg do not fit together</h2>
        <p>Quietkeg was replaced by another version. Close this page and open it again.</p>
      </section>
    );
  }
  if (sinceMs === null) {
    return (
      <section class="band-lost" aria-label="Nothing is heard">
        <h2>Quietkeg does not answer</h2>
        <p>Look if the box it runs on has power and network, and if this device is in the same network.</p>
      </section>
    );
  }
  const now = deviceNow.value;
  return (
    <section class="band-lost" aria-label="Nothing is heard">
      <h2>No data since {clockTime(sinceMs, now, zone.value)}</h2>
      <p>
        Nothing has been heard for {durationWords(now - sinceMs)}. What you see below is old. Look if the box Quietkeg
        runs on has power and network, and if this device is in the same network.
      </p>
    </section>
  );
}
