import mqtt from 'mqtt';

/** Publishes like a probe would, over a socket, at QoS 1. */
export interface ProbePublisher {
  publish(topic: string, payload: string): Promise<void>;
  close(): Promise<void>;
}

export async function connectProbePublisher(url: string): Promise<ProbePublisher> {
  const client = await mqtt.connectAsync(url, { clientId: 'quietkeg-demo-probes', reconnectPeriod: 1000 });
  return {
    publish: async (topic, payload) => {
      await client.publishAsync(topic, payload, { qos: 1 });
    },
    close: () => client.endAsync(true),
  };
}
