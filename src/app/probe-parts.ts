import { Devices, type DevicesOptions } from './devices.ts';
import { ProbeChanges } from './probe-changes.ts';

/** Those parts that know how probes are read and what their devices say of themselves. */
export function probeParts(options: DevicesOptions) {
  const devices = new Devices(options);
  const { register, probes, clock } = options;
  return { devices, probeChanges: new ProbeChanges(register, probes, devices, clock) };
}
