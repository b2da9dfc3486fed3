/** One family of metrics as a reader of the text format sees it. */
export interface ReadFamily {
  readonly name: string;
  readonly type: string;
  readonly unit: string | null;
  readonly help: string | null;
  readonly samples: {
    readonly name: string;
    readonly labels: Readonly<Record<string, string>>;
    readonly value: number;
  }[];
}

const NAME = '[a-zA-Z_:][a-zA-Z0-9_:]*';
const SAMPLE = new RegExp(`^(${NAME})(?:\\{(.*)\\})? (\\S+)$`);
const LABEL = /([a-zA-Z_][a-zA-Z0-9_]*)="((?:[^"\\\n]|\\["\\n])*)"(,|$)/y;
const SUFFIXES: Readonly<Record<string, readonly string[]>> = { counter: ['_total', '_created'], gauge: [''] };

/**
 * Reads the text format as strictly as the standard: throws at whatever it forbids.
 * @source OpenMetrics 1.0.0 (prometheus/OpenMetrics, specification/OpenMetrics.md), sections "Text Format" and "MetricFamily"
 */
export function readOpenMetrics(text: string): ReadFamily[] {
  if (!text.endsWith('# EOF\n')) throw new Error('it must end with # EOF and a line feed');
  const lines = text.slice(0, -'# EOF\n'.length).split('\n');
  if (lines.pop() !== '') throw new Error('the last line must end with a line feed');
  const families: {
    name: string;
    type: string;
    unit: string | null;
    help: string | null;
    samples: ReadFamily['samples'];
  }[] = [];
  for (const line of lines) {
    const told = new RegExp(`^# (TYPE|UNIT|HELP) (${NAME}) (.*)$`).exec(line);
    if (told !== null) {
      const [, what = '', name = '', rest = ''] = told;
      let family = families.at(-1);
      if (family?.name !== name) {
        if (families.some((known) => known.name === name)) throw new Error(`${name} is told of in two places`);
        family = { name, type: 'unknown', unit: null, help: null, samples: [] };
        families.push(family);
      }
      if (family.samples.length > 0) throw new Error(`${line}: after the samples of its family`);
      if (what === 'TYPE') family.type = rest;
      if (what === 'HELP') family.help = rest;
      if (what === 'UNIT') {
        if (!name.endsWith(`_${rest}`)) throw new Error(`${name} must end with its unit ${rest}`);
        family.unit = rest;
      }
      continue;
    }
    readSample(line, families);
  }
  return families;
}

function readSample(line: string, families: readonly (ReadFamily & { type: string })[]): void {
  const [, name = '', labelText, number = ''] = SAMPLE.exec(line) ?? [];
  const family = families.at(-1);
  const suffixes = family === undefined ? undefined : SUFFIXES[family.type];
  if (family === undefined || suffixes === undefined) throw new Error(`${line}: of no family of a known type`);
  if (!suffixes.some((suffix) => name === `${family.name}${suffix}`))
    throw new Error(`${line}: is no sample of ${family.name}`);
  const value = Number(number);
  if (number === '' || !Number.isFinite(value)) throw new Error(`${line}: has no number`);
  if (family.type === 'counter' && value < 0) throw new Error(`${line}: a counter is not negative`);
  const labels: Record<string, string> = {};
  LABEL.lastIndex = 0;
  while (labelText !== undefined && LABEL.lastIndex < labelText.length) {
    const [all, label, text] = LABEL.exec(labelText) ?? [];
    if (all === undefined || label === undefined || label in labels) throw new Error(`${line}: labels cannot be read`);
    labels[label] = text ?? '';
  }
  const twin = family.samples.find(
    (known) => known.name === name && JSON.stringify(known.labels) === JSON.stringify(labels),
  );
  if (twin !== undefined) throw new Error(`${line}: twice`);
  family.samples.push({ name, labels, value });
}
