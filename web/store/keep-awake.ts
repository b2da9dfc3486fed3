/** Keeps the screen on while bottles are filled, where the browser allows it: wet fingers do not unlock a phone. */
export function keepAwake(): () => void {
  let lock: WakeLockSentinel | null = null;
  let wanted = true;
  const take = (): void => {
    if (!wanted || document.hidden || !('wakeLock' in navigator)) return;
    navigator.wakeLock.request('screen').then(
      (taken) => {
        lock = taken;
        if (!wanted) void taken.release();
      },
      () => undefined,
    );
  };
  take();
  // A page that was out of sight has lost the lock.
  document.addEventListener('visibilitychange', take);
  return () => {
    wanted = false;
    document.removeEventListener('visibilitychange', take);
    void lock?.release();
  };
}
