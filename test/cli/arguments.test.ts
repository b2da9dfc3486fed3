import { describe, expect, test } from 'vitest';
import { describeFlags, parseArguments, UsageError } from '../../src/cli/arguments.ts';

const FLAGS = [
  { flag: '--demo', value: null, description: 'A switch.' },
  { flag: '--port', value: 'NUMBER', description: 'A number.' },
];
const parse = (...args: readonly string[]) => {
  const { flags, rest } = parseArguments(args, FLAGS);
  return { flags: Object.fromEntries(flags), rest };
};

describe('arguments', () => {
  test.each([
    [[], {}, []],
    [['--demo'], { '--demo': 'true' }, []],
    [['--port', '80'], { '--port': '80' }, []],
    [['--port=80'], { '--port': '80' }, []],
    [['--port=a=b'], { '--port': 'a=b' }, []],
    [['--port='], { '--port': '' }, []],
    [['--port', '-5'], { '--port': '-5' }, []],
    [['--port', '1', '--port', '2'], { '--port': '2' }, []],
    [['a', '--demo', 'b'], { '--demo': 'true' }, ['a', 'b']],
  ])('%j', (args, flags, rest) => {
    expect(parse(...args)).toEqual({ flags, rest });
  });

  test.each([
    [['--prot', '1'], '--prot is no option; did you mean --port? See --help.'],
    [['--port'], '--port needs a value: --port NUMBER'],
    [['--port', '--demo'], '--port needs a value: --port NUMBER'],
    [['--demo=no'], '--demo takes no value; leave it out, or say --demo alone'],
  ])('%j is a mistake', (args, message) => {
    expect(() => parse(...args)).toThrow(new UsageError(message));
  });
});

test('options are described in two columns', () => {
  expect(describeFlags(FLAGS)).toBe('  --demo         A switch.\n  --port NUMBER  A number.');
});
