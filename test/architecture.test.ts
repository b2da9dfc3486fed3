/**
 * Aim: who may import whom, and where the outside begins, stay as DEVELOPERS.md says.
 * Method: read every import of the sources and compare it with one table.
 */
import { describe, expect, test } from 'vitest';
import { type Import, type SourceFile, sourceFiles } from './support/source-tree.ts';

const sources = sourceFiles('src');
/** What runs in the browser: not the two files that build it. */
const web = sourceFiles('web').filter(({ path }) => !path.endsWith('.config.ts') && path !== 'web/build.ts');
const tests = sourceFiles('test');

interface Allowed {
  /** Folders below src whose values and types may be imported. */
  readonly values?: readonly string[];
  /** Folders of which only types may be imported. */
  readonly types?: readonly string[];
  readonly packages?: readonly string[];
  /** Packages of which only types may be imported. */
  readonly typePackages?: readonly string[];
}

const RULES: Readonly<Record<string, Allowed>> = {
  physics: {},
  domain: { values: ['physics'] },
  alerts: { values: ['domain', 'physics'] },
  contract: { packages: ['zod'] },
  ports: { types: ['domain', 'alerts'] },
  config: { values: ['physics'], packages: ['zod', 'smol-toml', 'node:fs', 'node:path'] },
  app: { values: ['domain', 'alerts', 'physics'], types: ['ports', 'config', 'contract'] },
  // An adapter implements a port, so it may name the types that the port is made of.
  adapters: { values: ['domain', 'contract'], types: ['ports', 'alerts', 'config'] },
  http: {
    values: ['app', 'contract'],
    packages: ['fastify', '@fastify', 'fastify-type-provider-zod', 'zod', 'node:fs', 'node:path', 'node:url'],
    typePackages: ['ws'],
  },
  simulate: { values: ['physics'], types: ['contract'] },
  cli: {
    values: ['app', 'contract', 'config', 'compose.ts', 'offline.ts', 'offline-access.ts', 'backup.ts', 'restore.ts'],
    packages: ['node:'],
    typePackages: ['zod'],
  },
};

/** What each adapter talks to. Nothing else in src may import these packages. */
const ADAPTER_PACKAGES: Readonly<Record<string, readonly string[]>> = {
  broker: ['aedes'],
  influx: ['influx'],
  mqtt: ['mqtt'],
  payload: ['zod'],
  smtp: ['nodemailer'],
  sqlite: ['node:sqlite'],
};
const OWNED_PACKAGES = ['aedes', 'influx', 'mqtt', 'node:sqlite', 'nodemailer'];

/** These tie everything together, so they may import anything. */
/** Runs simulated kegs through the command line's own path to measure the estimate. */
const EVALUATION = ['src/cli/evaluate.ts', 'src/cli/evaluate-run.ts', 'src/cli/evaluate-plan-run.ts'];

const TYING = [
  'src/main.ts',
  'src/compose.ts',
  'src/compose-telling.ts',
  'src/compose-plan.ts',
  'src/compose-fills.ts',
  'src/compose-access.ts',
  'src/offline.ts',
  'src/compose-ops.ts',
  'src/backup.ts',
  'src/restore.ts',
  'src/data-folder.ts',
  'src/start-error.ts',
  'src/offline-access.ts',
  'src/demo.ts',
];

const STANDING_ALONE = [
  // A library of cited functions that the dashboard uses as well; each is held to published values.
  'src/physics/',
  // Stands in for a real store where nothing is to be kept; held to the same suite.
  'src/adapters/memory/',
  // The estimate of what is dissolved, whole in itself before the keg model asks it.
  'src/domain/estimate/',
];
/** Entry points that a script, a tool's configuration or a test names. */
const STARTED_BY_TOOLS = [
  'test/support/machine.ts',
  'test/adapters/spool/full-disk-program.ts',
  'test/bench/',
  'test/program/kill.ts',
  'test/program/soak.ts',
  'test/program/fuzz.ts',
  'test/web/',
  'test/golden/',
];

const folderOf = (path: string) => path.split('/')[1] ?? '';
const adapterOf = (path: string) => path.split('/')[2] ?? '';
const isPackage = (name: string, allowed: readonly string[]) =>
  allowed.some((one) => name === one || name.startsWith(one.endsWith(':') ? one : `${one}/`));

/** Why an import is not allowed, or null. */
function objection(file: SourceFile, one: Import): string | null {
  const from = folderOf(file.path);
  const rule = RULES[from];
  if (rule === undefined) return `${from} stands in no rule`;
  if (!one.isFile) {
    const inAdapter = from === 'adapters' ? ['node:', ...(ADAPTER_PACKAGES[adapterOf(file.path)] ?? [])] : [];
    if (isPackage(one.target, [...(rule.packages ?? []), ...inAdapter])) {
      const owner = OWNED_PACKAGES.includes(one.target) ? one.target : null;
      const mine = ADAPTER_PACKAGES[adapterOf(file.path)] ?? [];
      return owner === null || mine.includes(owner) ? null : `${one.target} belongs to another adapter`;
    }
    return one.typesOnly && isPackage(one.target, rule.typePackages ?? []) ? null : `${one.target} is not allowed`;
  }
  const to = folderOf(one.target);
  if (to === from) {
    const sameAdapter = from !== 'adapters' || adapterOf(one.target) === adapterOf(file.path);
    return sameAdapter ? null : 'one adapter does not know another';
  }
  if (EVALUATION.includes(file.path) && to === 'simulate') return null;
  if ((rule.values ?? []).includes(to)) return null;
  if (!(rule.types ?? []).includes(to)) return `${from} must not import ${to}`;
  return one.typesOnly ? null : `${from} may import only types of ${to}`;
}

describe('imports', () => {
  test('the sources are found', () => {
    expect(sources.length).toBeGreaterThan(100);
    expect(sources.flatMap(({ imports }) => imports).length).toBeGreaterThan(300);
  });

  test.each([
    ['src/physics/a.ts', 'node:fs', false, false],
    ['src/domain/a.ts', 'src/app/feed.ts', true, true],
    ['src/alerts/a.ts', 'src/ports/clock.ts', true, true],
    ['src/ports/a.ts', 'src/domain/reading.ts', true, false],
    ['src/app/a.ts', 'src/contract/index.ts', true, false],
    ['src/app/a.ts', 'src/adapters/spool/file-spool.ts', true, true],
    ['src/http/a.ts', 'src/adapters/spool/file-spool.ts', true, true],
    ['src/http/a.ts', 'ws', false, false],
    ['src/adapters/mqtt/a.ts', 'src/adapters/broker/topic-filter.ts', true, false],
    ['src/adapters/spool/a.ts', 'node:sqlite', false, false],
    ['src/adapters/log/a.ts', 'mqtt', false, false],
    ['src/simulate/a.ts', 'src/domain/reading.ts', true, true],
    ['src/cli/a.ts', 'src/http/server.ts', true, true],
    ['src/new-folder/a.ts', 'zod', false, false],
  ])('are refused where %s reaches for %s', (path, target, isFile, typesOnly) => {
    expect(objection({ path, lines: 1, code: '', imports: [] }, { target, isFile, typesOnly })).not.toBeNull();
  });

  test('follow the table of who may import whom', () => {
    const broken = sources
      .filter(({ path }) => !TYING.includes(path))
      .flatMap((file) =>
        file.imports.flatMap((one) => {
          const why = objection(file, one);
          return why === null ? [] : [`${file.path} imports ${one.target}: ${why}`];
        }),
      );
    expect(broken).toEqual([]);
  });

  test('of contract values go through its one barrel, and there is no other barrel', () => {
    const past = [...sources, ...web].flatMap(({ path, imports }) =>
      imports
        .filter(({ target, typesOnly }) => target.startsWith('src/contract/') && !typesOnly)
        .filter(({ target }) => target !== 'src/contract/index.ts' && !path.startsWith('src/contract/'))
        .map(({ target }) => `${path} imports ${target}`),
    );
    const barrels = [...sources, ...web].filter(({ code }) => /^export \* from/m.test(code)).map(({ path }) => path);
    expect(past).toEqual([]);
    expect(barrels).toEqual(['src/contract/index.ts']);
  });

  test('of the dashboard take only types of the contract, and physics, which is pure', () => {
    const broken = web.flatMap(({ path, imports }) =>
      imports
        .filter(({ target, isFile, typesOnly }) => {
          if (!isFile) {
            if (isPackage(target, ['uplot'])) return !path.startsWith('web/charts/');
            return !isPackage(target, ['preact', '@preact/signals']) && !(target === 'zod' && typesOnly);
          }
          if (!target.startsWith('src/')) return !target.startsWith('web/');
          return !(target.startsWith('src/physics/') || (target.startsWith('src/contract/') && typesOnly));
        })
        .map(({ target }) => `${path} imports ${target}`),
    );
    expect(broken).toEqual([]);
  });

  test('form no cycle', () => {
    expect(cycleIn([...sources, ...web])).toBeNull();
  });

  test('reach every file', () => {
    const support = tests.filter(({ path }) => !/\.test\.tsx?$/.test(path) && !/\.config\.ts$/.test(path));
    const fromTests = reached(
      [...sources, ...tests],
      tests.filter((file) => !support.includes(file)).map(({ path }) => path),
    );
    const fromMain = reached(sources, ['src/main.ts']);
    const unused = [
      ...sources.filter(({ path }) => !fromMain.has(path) && !STANDING_ALONE.some((one) => path.startsWith(one))),
      ...support.filter(({ path }) => !fromTests.has(path) && !STARTED_BY_TOOLS.some((one) => path.startsWith(one))),
    ];
    expect(unused.map(({ path }) => path)).toEqual([]);
  });
});

describe('the outside', () => {
  const CLOCK_USE =
    /\bDate\.now\b|\bnew Date\(\s*\)|\bsetTimeout\b|\bsetInterval\b|\bMath\.random\b|\bperformance\.now\b|\bhrtime\b/;

  test('time and chance come in by adapters/clock alone', () => {
    const using = sources.filter(({ code }) => CLOCK_USE.test(code)).map(({ path }) => path);
    expect(using).toEqual(['src/adapters/clock/system-clock.ts']);
  });

  test('physics, domain and alerts touch nothing outside and keep nothing', () => {
    const impure =
      /\bprocess\b|\bconsole\b|\bfetch\(|\bglobalThis\b|\bcrypto\b|\bawait\b|\bPromise\b|\bIntl\b|^(let|var)\b/m;
    const pure = sources.filter(({ path }) => /^src\/(physics|domain|alerts)\//.test(path));
    expect(pure.length).toBeGreaterThan(30);
    expect(pure.filter(({ code }) => impure.test(code)).map(({ path }) => path)).toEqual([]);
  });

  test('ports are types only', () => {
    const running = sources.filter(
      ({ path, code }) => path.startsWith('src/ports/') && /^export (const|function|class|enum)/m.test(code),
    );
    expect(running.map(({ path }) => path)).toEqual([]);
  });
});

describe('files', () => {
  test('have at most 500 lines', () => {
    const long = [...sources, ...web, ...tests].filter(({ lines }) => lines > 500);
    expect(long.map(({ path, lines }) => `${path}: ${lines}`)).toEqual([]);
  });

  test('are named in kebab case', () => {
    const odd = [...sources, ...tests].filter(({ path }) => !/^[a-z0-9/.-]+$/.test(path));
    expect(odd.map(({ path }) => path)).toEqual([]);
  });
});

/** One cycle of imports as a line of paths, or null. */
function cycleIn(files: readonly SourceFile[]): string | null {
  const byPath = new Map(files.map((file) => [file.path, file]));
  const finished = new Set<string>();
  const visit = (path: string, above: readonly string[]): string | null => {
    if (above.includes(path)) return [...above.slice(above.indexOf(path)), path].join(' → ');
    if (finished.has(path)) return null;
    for (const { target, isFile } of byPath.get(path)?.imports ?? []) {
      const found = isFile ? visit(target, [...above, path]) : null;
      if (found !== null) return found;
    }
    finished.add(path);
    return null;
  };
  for (const { path } of files) {
    const found = visit(path, []);
    if (found !== null) return found;
  }
  return null;
}

function reached(files: readonly SourceFile[], entries: readonly string[]): Set<string> {
  const byPath = new Map(files.map((file) => [file.path, file]));
  const seen = new Set<string>();
  const waiting = [...entries];
  for (let path = waiting.pop(); path !== undefined; path = waiting.pop()) {
    if (seen.has(path)) continue;
    seen.add(path);
    for (const { target, isFile } of byPath.get(path)?.imports ?? []) if (isFile) waiting.push(target);
  }
  return seen;
}
