import type { BrokerNews } from '../../ports/broker.ts';

const DROPPED = '$SYS/broker/publish/messages/dropped';
const UPTIME = '$SYS/broker/uptime';
const VERSION = '$SYS/broker/version';

/** Where Mosquitto, and brokers that follow it, tell about themselves. */
export const SYS_TOPICS: readonly string[] = [DROPPED, UPTIME, VERSION];

/** What such a message says, or null if it is not understood. @source mosquitto(8), section "Broker Status" */
export function sysNews(topic: string, payload: string): BrokerNews | null {
  if (topic === VERSION) return { kind: 'version', text: payload.slice(0, 100) };
  const number = /^\d+/.exec(payload)?.[0];
  if (number === undefined) return null;
  if (topic === DROPPED) return { kind: 'dropped', total: Number(number) };
  return topic === UPTIME ? { kind: 'uptime', seconds: Number(number) } : null;
}
