import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import type { CommandIo } from '../../src/cli/command.ts';
import { run } from '../../src/cli/run.ts';
import { SETTING_NAMES } from '../../src/config/schema.ts';
import { removeFolders, temporaryFolder } from '../support/temporary-folder.ts';

removeFolders();

async function quietkeg(args: readonly string[], environment: Readonly<Record<string, string>> = {}) {
  let out = '';
  let err = '';
  const io: CommandIo = {
    stdin: (async function* () {})(),
    out: (text) => {
      out += text;
    },
    err: (text) => {
      err += text;
    },
    environment,
    version: '1.2.3',
    stopAsked: Promise.resolve(),
  };
  const code = await run(args, io);
  return { code, out, err };
}

describe('help', () => {
  test.each([[[]], [['--help']], [['help']]])('%j lists the commands', async (args) => {
    const { code, out, err } = await quietkeg(args);
    expect([code, err]).toEqual([0, '']);
    for (const command of ['serve', 'calculate', 'chart']) expect(out).toMatch(new RegExp(`^  ${command}\\s+\\w`, 'm'));
  });

  test('serve --help names every option, and the environment', async () => {
    const { code, out } = await quietkeg(['serve', '--help']);
    expect(code).toBe(0);
    for (const { flag } of SETTING_NAMES) expect(out).toContain(`${flag} `);
    expect(out).toContain('QUIETKEG_HTTP_PORT');
    expect(out).toContain('--demo');
    expect(out).toContain('--config FILE');
  });
});

describe('misuse ends with 2 and one line', () => {
  test.each([
    [['sevre'], 'quietkeg: sevre is no command; did you mean serve? See quietkeg --help.\n'],
    [['--version'], 'quietkeg: --version is no command. See quietkeg --help.\n'],
    [['serve', '--dmeo'], 'quietkeg serve: --dmeo is no option; did you mean --demo? See --help.\n'],
    [['serve', '--something-else-entirely'], 'quietkeg serve: --something-else-entirely is no option. See --help.\n'],
    [['serve', '--http-port'], 'quietkeg serve: --http-port needs a value: --http-port NUMBER\n'],
    [['serve', '--demo=false'], 'quietkeg serve: --demo takes no value; leave it out, or say --demo alone\n'],
    [['serve', 'now'], 'quietkeg serve: now is not understood; see --help\n'],
    [['serve', '-v'], 'quietkeg serve: -v is not understood; see --help\n'],
  ])('%j', async (args, line) => {
    const { code, out, err } = await quietkeg(args);
    expect({ code, out, err }).toEqual({ code: 2, out: '', err: line });
  });
});

describe('a bad configuration ends with 78 and says what is wrong', () => {
  test.each<[readonly string[], Readonly<Record<string, string>>, RegExp]>([
    [['--http-port', 'x'], {}, /^quietkeg: --http-port: .*number.*\n$/],
    [['--http-port=70000'], {}, /^quietkeg: --http-port: .*\n$/],
    [[], { QUIETKEG_HTTP_PORT: 'x' }, /^quietkeg: QUIETKEG_HTTP_PORT: .*\n$/],
    [['--config', '/no/such/file'], {}, /^quietkeg: \/no\/such\/file: ENOENT.*\n$/],
    [['--http-host', '0.0.0.0'], {}, /^quietkeg: http\.host: 0\.0\.0\.0 can be reached.*\n$/],
  ])('serve %j with %j', async (args, environment, message) => {
    const { code, out, err } = await quietkeg(['serve', '--data', temporaryFolder(), ...args], environment);
    expect({ code, out }).toEqual({ code: 78, out: '' });
    expect(err).toMatch(message);
  });

  test('all mistakes are told, a line each', async () => {
    const { err } = await quietkeg(['serve', '--http-port', 'x'], { QUIETKEG_MQTT_PORT: 'y' });
    expect(err.trim().split('\n')).toHaveLength(2);
  });

  test('a data folder that cannot be made', async () => {
    const file = join(temporaryFolder(), 'file');
    writeFileSync(file, '');
    const { code, err } = await quietkeg(['serve', '--data', join(file, 'data')]);
    expect(code).toBe(78);
    expect(err).toMatch(/^quietkeg: the data folder .* cannot be written \(ENOTDIR\); make it writable/);
  });

  test('a catalogue that is none', async () => {
    const folder = temporaryFolder();
    writeFileSync(join(folder, 'catalogue.sqlite'), 'this is not a database, it is a text of some length'.repeat(50));
    const { code, err } = await quietkeg(['serve', '--data', folder]);
    expect(code).toBe(78);
    expect(err).toMatch(/^quietkeg: .*catalogue\.sqlite: file is not a database\n$/);
  });

  test('a folder of another kind in the place of the catalogue', async () => {
    const folder = temporaryFolder();
    mkdirSync(join(folder, 'catalogue.sqlite'));
    const { code, err } = await quietkeg(['serve', '--data', folder]);
    expect(code).toBe(78);
    expect(err).toMatch(/^quietkeg: .*catalogue\.sqlite: unable to open database file\n$/);
  });
});
