import { CopyLine } from '../copy-line/copy-line.tsx';
import './first-steps.css';

/** Nothing was heard yet: how a first reading gets here, in two lines to copy. */
export function FirstSteps() {
  return (
    <section class="first-steps">
      <h1>No keg has been heard yet</h1>
      <p class="lead">
        Probes speak to Quietkeg over MQTT. Let yours publish to the box Quietkeg runs on, or try it from a terminal on
        that box with these two lines: a keg called “one” then appears here.
      </p>
      <CopyLine text="mosquitto_pub -t probes/one/beer-temperature -m 4.2" label="the line for a temperature" />
      <CopyLine
        text={'mosquitto_pub -t probes/one/headspace-pressure -m \'{"value":0.8,"unit":"bar"}\''}
        label="the line for a pressure"
      />
      <p class="note">
        The first is 4.2 °C in the beer, the second 0.8 bar in the keg. A topic of any other shape is placed by hand on{' '}
        <a href="/probes">Probes</a>.
      </p>
    </section>
  );
}
