import { execFile } from 'node:child_process';

/** Tells systemd how the service is. Node has no datagram sockets of the kind it listens on, so its own program carries it. */
export interface SystemdNotifier {
  /** Half of the time within which systemd wants a sign of life (ms); null: it does not. */
  readonly watchdogEveryMs: number | null;
  tell(state: 'READY=1' | 'WATCHDOG=1' | 'STOPPING=1'): void;
}

/**
 * Null where systemd did not start us. The unit needs `NotifyAccess=all`, because a child of ours speaks.
 * @source sd_notify(3), sd_watchdog_enabled(3)
 */
export function systemdNotifier(
  environment: Readonly<Record<string, string | undefined>>,
  pid: number,
  onTrouble: (trouble: string) => void,
): SystemdNotifier | null {
  const { NOTIFY_SOCKET, WATCHDOG_USEC, WATCHDOG_PID } = environment;
  if (NOTIFY_SOCKET === undefined || NOTIFY_SOCKET === '') return null;
  const isForUs = WATCHDOG_PID === undefined || WATCHDOG_PID === String(pid);
  const watchdogMs = isForUs ? Number(WATCHDOG_USEC ?? Number.NaN) / 1000 : Number.NaN;
  let told = false;
  return {
    watchdogEveryMs: watchdogMs > 0 ? watchdogMs / 2 : null,
    tell(state) {
      const env = { PATH: environment.PATH ?? '/usr/bin:/bin', NOTIFY_SOCKET };
      execFile('systemd-notify', [`--pid=${pid}`, state], { env, timeout: 10_000 }, (error) => {
        if (error === null || told) return;
        told = true;
        onTrouble(`systemd cannot be told ${state}: ${error.message.split('\n')[0]}`);
      });
    },
  };
}
