import { type ClientRequest, type IncomingMessage, request as plainRequest } from 'node:http';
import { request as tlsRequest } from 'node:https';
import { isIP, type LookupFunction } from 'node:net';
import { retryAfterMs, statusMeaning } from '../../domain/delivery/http-answer.ts';
import { oneLine } from '../../domain/delivery/one-line.ts';
import type { Delivery } from '../../ports/channel.ts';
import type { Clock } from '../../ports/clock.ts';
import type { FindAddress, Outgoing, OutgoingRequest } from '../../ports/outgoing.ts';

/** From the look-up to the end of the answer (ms). */
const TOTAL_MS_MAX = 20_000;
/** Of an answer no more is read than this; what matters is its status. */
const ANSWER_BYTES_MAX = 16 * 1024;
/** Of an answer so much is shown. */
const SHOWN_LENGTH = 200;

export interface GuardedHttpOptions {
  readonly findAddress: FindAddress;
  readonly clock: Clock;
  readonly totalMsMax?: number;
  /** Certificate authorities to trust instead of the usual ones. */
  readonly ca?: string;
}

/** HTTP and HTTPS to addresses that people entered. Redirects are an answer like any other. */
export class GuardedHttp implements Outgoing {
  readonly #options: GuardedHttpOptions;

  constructor(options: GuardedHttpOptions) {
    this.#options = options;
  }

  async send(request: OutgoingRequest): Promise<Delivery> {
    const url = URL.parse(request.url);
    if (url === null || (url.protocol !== 'http:' && url.protocol !== 'https:')) {
      return failed('the address is no http or https address');
    }
    const { clock, totalMsMax = TOTAL_MS_MAX } = this.#options;
    let stopTimer = () => {};
    const overdue = new Promise<'overdue'>((resolve) => {
      stopTimer = clock.after(totalMsMax, () => resolve('overdue'));
    });
    try {
      const found = await Promise.race([this.#options.findAddress(url.hostname), overdue]);
      if (found === 'overdue') return failed(`${url.host} was not found in time`);
      if (!found.ok) return failed(found.why);
      return await this.#exchange(request, url, found.address, found.family, overdue, totalMsMax);
    } finally {
      stopTimer();
    }
  }

  #exchange(
    request: OutgoingRequest,
    url: URL,
    address: string,
    family: 4 | 6,
    overdue: Promise<'overdue'>,
    totalMsMax: number,
  ): Promise<Delivery> {
    return new Promise((resolve) => {
      /** True once the remote can have received something. */
      let isReached = false;
      const sending = this.#open(request, url, address, family);
      const end = (delivery: Delivery) => {
        resolve(delivery);
        sending.destroy();
      };
      void overdue.then(() => end(failed(`no answer within ${totalMsMax / 1000} s`, !isReached)));
      sending.on('socket', (socket) => {
        socket.once(url.protocol === 'https:' ? 'secureConnect' : 'connect', () => {
          isReached = true;
        });
      });
      sending.on('error', (error: NodeJS.ErrnoException) => {
        end(failed(oneLine(`${url.host} does not answer: ${error.message}`, SHOWN_LENGTH), !isReached));
      });
      sending.on('response', (response) => {
        void readStart(response).then((body) => end(this.#judge(request, response, body)));
      });
      sending.end(request.body ?? undefined);
    });
  }

  /** The connection goes to the address that was judged, whatever the name says by now; name and certificate stay the host's. */
  #open({ method, headers, body }: OutgoingRequest, url: URL, address: string, family: 4 | 6): ClientRequest {
    const { ca } = this.#options;
    const length = body === null ? 0 : Buffer.byteLength(body);
    const lookup: LookupFunction = (_host, { all }, found) => {
      if (all === true) found(null, [{ address, family }]);
      else found(null, address, family);
    };
    const options = {
      method,
      headers: { 'user-agent': 'Quietkeg', ...headers, 'content-length': String(length), connection: 'close' },
      agent: false,
      lookup,
      maxHeaderSize: ANSWER_BYTES_MAX,
    };
    if (url.protocol === 'http:') return plainRequest(url, options);
    const bare = url.hostname.replace(/^\[(.*)\]$/, '$1');
    return tlsRequest(url, {
      ...options,
      ...(ca === undefined ? {} : { ca }),
      ...(isIP(bare) === 0 ? { servername: bare } : {}),
    });
  }

  #judge(
    { goneAt }: OutgoingRequest,
    { statusCode = 0, statusMessage, headers }: IncomingMessage,
    body: string,
  ): Delivery {
    const shown = oneLine(body, SHOWN_LENGTH);
    const told = oneLine(`${statusCode} ${statusMessage ?? ''}`, 80);
    const answer = shown === '' ? told : `${told}: ${shown}`;
    if (goneAt.includes(statusCode)) return { kind: 'gone', answer };
    if (statusCode >= 300 && statusCode < 400) {
      return failed(`${told}: it sends on to another address, which is not followed; enter the last one`);
    }
    switch (statusMeaning(statusCode)) {
      case 'taken':
        return { kind: 'taken', answer };
      case 'refused':
        return { kind: 'refused', answer };
      case 'not-now':
        return {
          ...failed(answer),
          retryAfterMs: retryAfterMs(headers['retry-after'] ?? null, this.#options.clock.nowMs()),
        };
      case 'unclear':
        return failed(answer, false);
    }
  }
}

function failed(answer: string, isCertain = true): Extract<Delivery, { kind: 'failed' }> {
  return { kind: 'failed', answer, isCertain, retryAfterMs: null };
}

/** The beginning of the answer. One that breaks off or never ends has a status all the same. */
function readStart(response: IncomingMessage): Promise<string> {
  return new Promise((resolve) => {
    const chunks: Buffer[] = [];
    let length = 0;
    const end = () => resolve(Buffer.concat(chunks).subarray(0, ANSWER_BYTES_MAX).toString('utf8'));
    response.on('data', (chunk: Buffer) => {
      chunks.push(chunk);
      length += chunk.length;
      if (length >= ANSWER_BYTES_MAX) end();
    });
    response.once('end', end);
    response.once('close', end);
    response.once('error', end);
  });
}
