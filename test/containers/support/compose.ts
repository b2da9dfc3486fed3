import { run, succeeds } from './command.ts';
import { ensureCommands } from './debian-packages.ts';
import { PROJECT } from './service-image.ts';

/** docker-compose.yml of this project, under a name of its own and with images of our choice. */
export class ComposeProject {
  readonly #name: string;
  readonly #env: Readonly<Record<string, string>>;
  #command: readonly string[] = [];

  constructor(name: string, env: Readonly<Record<string, string>>) {
    this.#name = name;
    this.#env = env;
  }

  async up(): Promise<void> {
    if (await succeeds('docker', ['compose', 'version'])) this.#command = ['docker', 'compose'];
    else {
      await ensureCommands({ 'docker-compose': 'docker-compose' });
      this.#command = ['docker-compose'];
    }
    try {
      await this.run('up', '--detach', '--no-build');
    } catch (error) {
      throw new Error(`${(error as Error).message}\n${await this.#complaints()}`, { cause: error });
    }
  }

  /** Takes everything down, volumes included. */
  async down(): Promise<void> {
    if (this.#command.length > 0) await this.run('down', '--volumes', '--remove-orphans', '--timeout', '15');
  }

  /** Where a port of a service is published, as host:port. */
  async published(service: string, port: number): Promise<string> {
    return this.run('port', service, String(port));
  }

  /** What there is to know about containers that did not come up. */
  async #complaints(): Promise<string> {
    const ids = (await this.run('ps', '--quiet')).split('\n').filter((id) => id !== '');
    const states = await run('docker', ['inspect', '--format', '{{.Name}} {{json .State}}', ...ids]);
    return `${states}\n${await this.run('logs', '--no-color', '--tail', '20')}`;
  }

  async run(...args: readonly string[]): Promise<string> {
    const [command = '', ...first] = this.#command;
    return run(command, [...first, '--project-name', this.#name, ...args], { cwd: PROJECT, env: this.#env });
  }
}
