import type { Broker } from '../ports/broker.ts';
import type { Channel } from '../ports/channel.ts';

/** Publishes each episode in the form of the contract. Of what belongs to no keg the topic says `site`. */
export function brokerChannel(broker: Pick<Broker, 'publish' | 'trouble'>): Channel {
  return {
    async send({ kegId, episodes, what, atMs }) {
      const trouble = broker.trouble();
      if (trouble !== null) return { kind: 'failed', answer: trouble, isCertain: true, retryAfterMs: null };
      const topic = `quietkeg/${kegId ?? 'site'}/alert`;
      if (what === 'test')
        broker.publish(topic, JSON.stringify({ test: true, at: new Date(atMs).toISOString() }), false);
      for (const episode of episodes) broker.publish(topic, JSON.stringify(episode), false);
      return { kind: 'taken', answer: `published to ${topic}` };
    },
  };
}
