import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { ConfigError, loadSettings, type SettingSources } from '../../src/config/load.ts';
import { SETTING_NAMES } from '../../src/config/schema.ts';
import { removeFolders, temporaryFolder } from '../support/temporary-folder.ts';

removeFolders();

interface Given {
  readonly toml?: string;
  readonly env?: Readonly<Record<string, string>>;
  readonly flags?: Readonly<Record<string, string>>;
  readonly demo?: boolean;
}

function sources({ toml, env = {}, flags = {}, demo = false }: Given): SettingSources {
  let file: string | null = null;
  if (toml !== undefined) {
    file = join(temporaryFolder(), 'quietkeg.toml');
    writeFileSync(file, toml);
  }
  return { file, environment: { HOME: '/home/anna', ...env }, flags: new Map(Object.entries(flags)), demo };
}
const load = (given: Given) => loadSettings(sources(given));
function problems(given: Given): readonly string[] {
  try {
    load(given);
  } catch (error) {
    if (error instanceof ConfigError) return error.problems;
    throw error;
  }
  return [];
}

describe('settings', () => {
  test('have defaults that keep to this machine', () => {
    expect(load({})).toEqual({
      data: '/home/anna/.local/share/quietkeg',
      http: {
        host: '127.0.0.1',
        port: 8420,
        publicUrl: null,
        trustNetwork: false,
        firstRun: false,
        tlsCert: null,
        tlsKey: null,
        names: '',
        trustedProxies: '',
      },
      mqtt: {
        host: '127.0.0.1',
        port: 1883,
        url: null,
        discover: 'probes/#',
        clientId: 'quietkeg',
        user: null,
        passwordFile: null,
        caFile: null,
        tlsHost: '127.0.0.1',
        tlsPort: null,
        tlsCert: null,
        tlsKey: null,
      },
      influx: { url: null },
      keep: { rawDays: 90 },
      backup: { keep: 7, folder: null, beforeUpdate: true },
      outgoing: { allowLocal: true },
      heartbeat: { url: null, everyMin: 5 },
      altitudeM: null,
    });
  });

  test('the file outweighs defaults, the environment the file, flags the environment', () => {
    const toml = 'altitudeM = 1\n[http]\nport = 1\nhost = "localhost"\n[mqtt]\nport = 1';
    const env = { QUIETKEG_HTTP_PORT: '2', QUIETKEG_MQTT_PORT: '2' };
    expect(load({ toml, env, flags: { '--mqtt-port': '3' } })).toMatchObject({
      altitudeM: 1,
      http: { port: 2, host: 'localhost' },
      mqtt: { port: 3 },
    });
  });

  test('the documented names of the environment exist', () => {
    const names = SETTING_NAMES.map(({ environment }) => environment);
    for (const name of [
      'QUIETKEG_DATA',
      'QUIETKEG_HTTP_HOST',
      'QUIETKEG_HTTP_PORT',
      'QUIETKEG_MQTT_PORT',
      'QUIETKEG_MQTT_URL',
      'QUIETKEG_INFLUX_URL',
      'QUIETKEG_ALTITUDE_M',
    ]) {
      expect(names).toContain(name);
    }
  });

  test.each(SETTING_NAMES.map((name) => [name.environment, name] as const))('%s is described', (_name, setting) => {
    expect(setting.description).toMatch(/\w+/);
    expect(setting.flag).toBe(`--${setting.environment.slice('QUIETKEG_'.length).toLowerCase().replaceAll('_', '-')}`);
  });

  test.each([
    ['true', true],
    ['yes', true],
    ['1', true],
    ['false', false],
    ['no', false],
    ['0', false],
  ])('a switch may be %s', (text, value) => {
    expect(load({ env: { QUIETKEG_HTTP_TRUST_NETWORK: text } }).http.trustNetwork).toBe(value);
  });

  test('cannot be changed afterwards', () => {
    const settings = load({});
    expect(() => Object.assign(settings, { data: 'x' })).toThrow(TypeError);
    expect(() => Object.assign(settings.http, { port: 1 })).toThrow(TypeError);
  });
});

describe('the data folder', () => {
  test.each<[Given, string]>([
    [{ demo: true }, '/home/anna/.local/share/quietkeg-demo'],
    [{ env: { XDG_DATA_HOME: '/data' } }, '/data/quietkeg'],
    [{ env: { QUIETKEG_DATA: '/mine' }, demo: true }, '/mine'],
    [{ toml: 'data = "/file"' }, '/file'],
    [{ flags: { '--data': '/flag' }, env: { QUIETKEG_DATA: '/mine' } }, '/flag'],
  ])('%j: %s', (given, folder) => {
    expect(load(given).data).toBe(folder);
  });

  test('is beside the program where there is no home', () => {
    expect(loadSettings({ file: null, environment: {}, flags: new Map(), demo: false }).data).toBe('quietkeg');
  });
});

describe('mistakes', () => {
  test.each<[Given, RegExp]>([
    [{ env: { QUIETKEG_HTTP_PORT: 'eighty' } }, /^QUIETKEG_HTTP_PORT: .*number/],
    [{ env: { QUIETKEG_HTTP_PORT: '' } }, /^QUIETKEG_HTTP_PORT: .*number/],
    [{ env: { QUIETKEG_HTTP_PORT: '0x50' } }, /^QUIETKEG_HTTP_PORT: .*number/],
    [{ env: { QUIETKEG_HTTP_PORT: '1.5' } }, /^QUIETKEG_HTTP_PORT: /],
    [{ env: { QUIETKEG_HTTP_PORT: '65536' } }, /^QUIETKEG_HTTP_PORT: .*65535/],
    [{ env: { QUIETKEG_HTTP_TRUST_NETWORK: 'maybe' } }, /^QUIETKEG_HTTP_TRUST_NETWORK: .*boolean/],
    [{ env: { QUIETKEG_MQTT_URL: 'http://host' } }, /^QUIETKEG_MQTT_URL: .*mqtt:\/\/host or mqtts:\/\/host/],
    [{ env: { QUIETKEG_MQTT_URL: 'mqtt://' } }, /^QUIETKEG_MQTT_URL: /],
    [{ env: { QUIETKEG_ALTITUDE_M: '9001' } }, /^QUIETKEG_ALTITUDE_M: /],
    [{ env: { QUIETKEG_DATA: '' } }, /^QUIETKEG_DATA: /],
    [{ flags: { '--influx-url': 'host:8086' } }, /^--influx-url: .*http:\/\/host or https:\/\/host/],
    [{ env: { QUIETKEG_HTP_PORT: '1' } }, /^QUIETKEG_HTP_PORT is no setting; did you mean QUIETKEG_HTTP_PORT\?$/],
    [{ env: { QUIETKEG_SOMETHING_ELSE: '1' } }, /^QUIETKEG_SOMETHING_ELSE is no setting; known are QUIETKEG_DATA, /],
    [{ toml: '[htp]\nport = 1' }, /toml: htp is no setting/],
    [{ toml: '[http]\nprot = 1' }, /toml: http\.prot is no setting; did you mean http\.port\?$/],
    [{ toml: '[http]\nport = "80"' }, /toml: http\.port: .*number/],
    [{ toml: 'http = 5' }, /toml: http: /],
    [{ toml: '[http\nport = 1' }, /toml: line 1: /],
    [{ toml: 'altitudeM = 1\naltitudeM = 2' }, /toml: line 2: /],
  ])('%j: %s', (given, problem) => {
    expect(problems(given)).toEqual([expect.stringMatching(problem)]);
  });

  test('are told all at once', () => {
    const toml = 'colour = "red"\n[mqtt]\nport = -1';
    const env = { QUIETKEG_HTTP_PORT: 'x', QUIETKEG_NOTHING_LIKE_IT: '1' };
    expect(problems({ toml, env, flags: { '--altitude-m': 'high' } })).toHaveLength(5);
  });

  test('a file that is not there is told', () => {
    const given = { ...sources({}), file: '/no/such/file.toml' };
    expect(() => loadSettings(given)).toThrow(/^\/no\/such\/file\.toml: ENOENT/);
  });

  test('variables of the tests and of others do not matter', () => {
    expect(problems({ env: { QUIETKEG_TEST_IMAGE: 'x', PATH: '/bin', quietkeg_http_port: '1' } })).toEqual([]);
  });
});
