/** The program cannot do what it was asked as it is set up; the message says what is wrong and what to do. */
export class StartError extends Error {
  override readonly name = 'StartError';
}
