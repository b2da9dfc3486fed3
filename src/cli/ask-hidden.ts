import type { ReadStream, WriteStream } from 'node:tty';

const END_OF_INPUT = ['\u0003', '\u0004'];
const ENTER = ['\r', '\n'];
const RUB_OUT = ['\u007f', '\b'];
const CHARACTERS_MAX = 1000;

/** Asks at a terminal and shows nothing of what is typed. Null if it was broken off. */
export function askHidden(
  stdin: Pick<ReadStream, 'setRawMode' | 'on' | 'off' | 'resume' | 'pause' | 'setEncoding'>,
  stderr: Pick<WriteStream, 'write'>,
  question: string,
): Promise<string | null> {
  stderr.write(question);
  stdin.setRawMode(true);
  stdin.setEncoding('utf8');
  stdin.resume();
  return new Promise((resolve) => {
    let typed: string[] = [];
    const end = (answer: string | null) => {
      stdin.off('data', take);
      stdin.setRawMode(false);
      stdin.pause();
      stderr.write('\n');
      resolve(answer);
    };
    const take = (chunk: unknown) => {
      for (const character of String(chunk)) {
        if (END_OF_INPUT.includes(character)) return end(null);
        if (ENTER.includes(character)) return end(typed.join(''));
        if (RUB_OUT.includes(character)) typed = typed.slice(0, -1);
        else if (typed.length < CHARACTERS_MAX && character >= ' ') typed.push(character);
      }
    };
    stdin.on('data', take);
  });
}
