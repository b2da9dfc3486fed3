import { ensureCommands } from '../containers/support/debian-packages.ts';

/** Runs once before the tests that need more than Node: brings the programs they start, where they are missing. */
export async function setup(): Promise<void> {
  await ensureCommands({
    mosquitto_pub: 'mosquitto-clients',
    mosquitto: 'mosquitto',
    influxd: 'influxdb',
    chromium: 'chromium',
    'fc-list': 'fontconfig',
    'systemd-analyze': 'systemd',
    ip: 'iproute2',
    sysctl: 'procps',
  });
}
