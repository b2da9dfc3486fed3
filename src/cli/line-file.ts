import { type FileHandle, open, rename, rm } from 'node:fs/promises';

/** Characters that gather before they are written. */
const GATHERED = 256 * 1024;

/** A text file that is written bit by bit and bears its name only once it is whole. */
export class LineFile {
  readonly #path: string;
  readonly #handle: FileHandle;
  #gathered = '';

  private constructor(path: string, handle: FileHandle) {
    this.#path = path;
    this.#handle = handle;
  }

  static async create(path: string): Promise<LineFile> {
    return new LineFile(path, await open(`${path}.part`, 'w'));
  }

  async write(text: string): Promise<void> {
    this.#gathered += text;
    if (this.#gathered.length >= GATHERED) await this.#flush();
  }

  /** Writes the rest and gives the file its name. */
  async finish(): Promise<void> {
    await this.#flush();
    await this.#handle.sync();
    await this.#handle.close();
    await rename(`${this.#path}.part`, this.#path);
  }

  /** Leaves nothing behind. */
  async abandon(): Promise<void> {
    await this.#handle.close().catch(() => undefined);
    await rm(`${this.#path}.part`, { force: true });
  }

  async #flush(): Promise<void> {
    const text = this.#gathered;
    this.#gathered = '';
    await this.#handle.writeFile(text);
  }
}
