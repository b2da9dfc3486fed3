/** Every phrase that a message is put together of, so that another language is another table. */
export interface Phrases {
  readonly since: (time: string) => string;
  readonly measured: (value: string) => string;
  readonly limit: (value: string) => string;
  readonly over: (message: string) => string;
  /** It was over before it could be told. */
  readonly alreadyOver: (message: string) => string;
  readonly lasted: (from: string, to: string) => string;
  readonly urgent: (message: string) => string;
  readonly digest: (count: number) => string;
  readonly more: (count: number) => string;
  readonly whatToDo: (advice: string) => string;
  readonly acknowledge: (link: string) => string;
  readonly testSubject: string;
  readonly test: (channel: string) => string;
  readonly testAdvice: string;
  readonly channelFails: (channel: string, answer: string) => string;
  readonly channelFailsAdvice: string;
  readonly channelWorks: (channel: string) => string;
}

export const ENGLISH: Phrases = {
  since: (time) => `Since ${time}.`,
  measured: (value) => `Measured ${value}.`,
  limit: (value) => `Limit ${value}.`,
  over: (message) => `Over: ${message}`,
  alreadyOver: (message) => `Over already: ${message}`,
  lasted: (from, to) => `From ${from} to ${to}.`,
  urgent: (message) => `Now: ${message}`,
  digest: (count) => `${count} things:`,
  more: (count) => `and ${count} more.`,
  whatToDo: (advice) => `What to do: ${advice}`,
  acknowledge: (link) => `To say that you look after it: ${link}`,
  testSubject: 'Quietkeg: a test',
  test: (channel) => `This is a test of “${channel}”. Alerts of your kegs will come this way.`,
  testAdvice: 'Nothing is to be done.',
  channelFails: (channel, answer) => `“${channel}” does not deliver alerts: ${answer}`,
  channelFailsAdvice:
    'Look at its settings and send a test. What could not be delivered is tried again for three days.',
  channelWorks: (channel) => `“${channel}” delivers alerts again.`,
};
