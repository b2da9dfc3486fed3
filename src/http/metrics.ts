import type { MachineReport } from '../app/machine-watch.ts';
import type { Services } from '../app/services.ts';

/** Content type of the text format. @source OpenMetrics 1.0.0, section "Protocol Negotiation" */
export const METRICS_TYPE = 'application/openmetrics-text; version=1.0.0; charset=utf-8';

interface Family {
  /** Ends in its unit, if it has one. */
  readonly name: string;
  readonly type: 'counter' | 'gauge';
  readonly unit?: 'bytes' | 'seconds';
  readonly help: string;
  /** Label and value of each sample; a family without labels has one. */
  readonly samples: readonly (readonly [label: Readonly<Record<string, string>>, value: number])[];
}

/** All that is counted and measured of the service, in the OpenMetrics text format. */
export function metricsText(services: Services): string {
  const machine = services.machine?.();
  const families = [...ofService(services), ...(machine === undefined ? [] : ofMachine(machine))];
  return `${families.map(familyText).join('')}# EOF\n`;
}

function ofService(services: Services): Family[] {
  const { ledger, health, register, feed, estimates, gapCounts, deliveryReport, probes } = services;
  const { waiting, ...fates } = ledger();
  const one = (name: string, help: string, value: number): Family => {
    return { name: `quietkeg_${name}`, type: 'gauge', help, samples: [[{}, value]] };
  };
  const works = Object.entries(health()).map(([part, trouble]) => [{ part }, trouble === null ? 1 : 0] as const);
  return [
    {
      name: 'quietkeg_values',
      type: 'counter',
      help: 'Values since the start, by what became of them.',
      samples: Object.entries(fates).map(([fate, count]) => [{ fate }, count] as const),
    },
    one('values_waiting', 'Values on their way to the store.', waiting),
    one('messages_held', 'Messages that wait for a clock that can be believed.', deliveryReport().heldMessages),
    {
      name: 'quietkeg_gaps',
      type: 'gauge',
      help: 'Times without readings that were noted, by their cause.',
      samples: [...gapCounts()].map(([cause, count]) => [{ cause }, count] as const),
    },
    one('kegs', 'Kegs in the catalogue.', register.kegs().length),
    one('probes_heard', 'Probes that were heard, each a series of readings.', probes.all().length),
    one('estimates_pending', 'Estimates that are computed from the store.', estimates.pending),
    one('live_revision', 'Changes that were told to pages since the start.', feed.revision()),
    { name: 'quietkeg_part_works', type: 'gauge', help: '1 for each part that works, else 0.', samples: works },
  ];
}

function ofMachine(report: MachineReport): Family[] {
  const bytes = (name: string, help: string, value: number | null): Family[] => {
    return value === null ? [] : [{ name, type: 'gauge', unit: 'bytes', help, samples: [[{}, value]] }];
  };
  const { newestBackupMs, openFiles } = report;
  return [
    ...bytes('process_resident_memory_bytes', 'Memory that the service takes.', report.residentBytes),
    ...bytes('quietkeg_available_memory_bytes', 'Memory that could still be had.', report.availableBytes),
    ...bytes('quietkeg_free_disk_bytes', 'Room on the disk of the data folder.', report.freeDiskBytes),
    ...(openFiles === null ? [] : [gauge('process_open_fds', 'Open files and connections.', openFiles)]),
    ...(newestBackupMs === null
      ? []
      : [
          {
            ...gauge(
              'quietkeg_newest_backup_seconds',
              'When the newest nightly backup was made.',
              newestBackupMs / 1000,
            ),
            unit: 'seconds' as const,
          },
        ]),
  ];
}

function gauge(name: string, help: string, value: number): Family {
  return { name, type: 'gauge', help, samples: [[{}, value]] };
}

/** @source OpenMetrics 1.0.0, section "Text Format" */
function familyText({ name, type, unit, help, samples }: Family): string {
  const head = [
    `# TYPE ${name} ${type}`,
    ...(unit === undefined ? [] : [`# UNIT ${name} ${unit}`]),
    `# HELP ${name} ${help}`,
  ];
  const suffix = type === 'counter' ? '_total' : '';
  const lines = samples.map(([labels, value]) => `${name}${suffix}${labelText(labels)} ${value}`);
  return `${[...head, ...lines].join('\n')}\n`;
}

function labelText(labels: Readonly<Record<string, string>>): string {
  const each = Object.entries(labels).map(([name, value]) => `${name}="${escaped(value)}"`);
  return each.length === 0 ? '' : `{${each.join(',')}}`;
}

function escaped(value: string): string {
  return value.replaceAll('\\', '\\\\').replaceAll('\n', '\\n').replaceAll('"', '\\"');
}
