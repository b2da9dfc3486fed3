import { createServer, type IncomingHttpHeaders, type Server, type ServerResponse } from 'node:http';
import { createServer as createTlsServer } from 'node:https';
import type { AddressInfo, Socket } from 'node:net';
import { TEST_CERTIFICATE, TEST_KEY } from './test-certificate.ts';

export interface HeardRequest {
  readonly method: string;
  readonly url: string;
  readonly headers: IncomingHttpHeaders;
  readonly body: Buffer;
}

/** A server on loopback that keeps what it hears and answers as a test says. */
export class HttpSink {
  readonly heard: HeardRequest[] = [];
  readonly #server: Server;
  readonly #sockets = new Set<Socket>();
  readonly #scheme: string;
  answer: (response: ServerResponse, request: HeardRequest) => void = (response) => response.end('well');

  private constructor(isTls: boolean) {
    this.#scheme = isTls ? 'https' : 'http';
    const listener: Parameters<typeof createServer>[1] = (request, response) => {
      const chunks: Buffer[] = [];
      request.on('data', (chunk: Buffer) => chunks.push(chunk));
      request.on('end', () => {
        const { method = '', url = '', headers } = request;
        const heard = { method, url, headers, body: Buffer.concat(chunks) };
        this.heard.push(heard);
        this.answer(response, heard);
      });
    };
    this.#server = isTls
      ? createTlsServer({ cert: TEST_CERTIFICATE, key: TEST_KEY }, listener)
      : createServer(listener);
    this.#server.on('connection', (socket) => {
      this.#sockets.add(socket);
      socket.on('close', () => this.#sockets.delete(socket));
    });
  }

  static async open({ isTls = false } = {}): Promise<HttpSink> {
    const sink = new HttpSink(isTls);
    await new Promise<void>((resolve) => sink.#server.listen(0, '127.0.0.1', resolve));
    return sink;
  }

  get port(): number {
    return (this.#server.address() as AddressInfo).port;
  }

  url(path = '/', host = '127.0.0.1'): string {
    return `${this.#scheme}://${host}:${this.port}${path}`;
  }

  connections(): number {
    return this.#sockets.size;
  }

  async close(): Promise<void> {
    for (const socket of this.#sockets) socket.destroy();
    await new Promise((resolve) => this.#server.close(resolve));
  }
}
