import { Store } from 'mqtt';

/**
 * Keeps no message that we publish for sending it again. After connecting, mqtt.js sends what its store holds one by one,
 * lets everything else wait behind, our subscription included, and can get stuck in it. A state is published anew anyway.
 */
export class ForgetfulStore extends Store {
  override put(...[, done]: Parameters<Store['put']>): this {
    done?.();
    return this;
  }

  override del(...[packet, done]: Parameters<Store['del']>): this {
    done(undefined, packet as Parameters<typeof done>[1]);
    return this;
  }
}
