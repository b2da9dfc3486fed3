/**
 * Kills the service many times under load and says what became of every acknowledged reading:
 * `npx node test/program/kill.ts [kills = 200] [embedded|external] [seed]`.
 */
import { killRun, type Servers } from './support/kill-run.ts';

const [kills = '200', servers = 'embedded', seed = String(Date.now() % 100_000)] = process.argv.slice(2);
if (servers !== 'embedded' && servers !== 'external') throw new Error('say embedded or external');
console.log(`${kills} kills, ${servers}, seed ${seed}`);
const began = performance.now();
const { lost, doubled, wrong, ...counts } = await killRun({
  kills: Number(kills),
  servers: servers satisfies Servers,
  seed: Number(seed),
  onKill: (made) => {
    if (made % 20 === 0) console.log(`${made} kills`);
  },
});
const found = { ...counts, lost: lost.length, doubled: doubled.length, wrong: wrong.length };
console.log(`${JSON.stringify(found)} in ${Math.round((performance.now() - began) / 1000)} s`);
if (lost.length + doubled.length + wrong.length > 0) {
  console.error({ lost: lost.slice(0, 20), doubled: doubled.slice(0, 20), wrong: wrong.slice(0, 20) });
  process.exitCode = 1;
}
