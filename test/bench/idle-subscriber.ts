/** An MQTT client in a process of its own that counts messages and does nothing with them: the limit of the whole path. */
import mqtt from 'mqtt';

const [url = '', clientId = '', count = '0'] = process.argv.slice(2);
const wanted = Number(count);
let received = 0;
/** Neither is measured while it warms up. */
const warmAt = Math.floor(wanted / 5);
let beganMs = 0;
let beganCpuMs = 0;
const cpuMs = () => {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
};
const client = mqtt.connect(url, {
  clientId,
  clean: false,
  protocolVersion: 5,
  properties: { sessionExpiryInterval: 3600, receiveMaximum: 1000 },
  manualConnect: true,
});
client.on('message', () => {
  received += 1;
  if (received === warmAt) [beganMs, beganCpuMs] = [performance.now(), cpuMs()];
  if (received < wanted) return;
  const measured = wanted - warmAt;
  const told = {
    perSecond: measured / ((performance.now() - beganMs) / 1000),
    cpuMicrosecondsEach: ((cpuMs() - beganCpuMs) * 1000) / measured,
  };
  console.log(JSON.stringify(told));
  client.end();
});
client.on('connect', () => {
  client.subscribe('probes/#', { qos: 1 }, () => {
    // Without messages to wait for it only leaves its session behind.
    if (wanted === 0) client.end();
  });
});
client.connect();
