/** Who may come in, for commands that work beside the running service as well as without it. */
import { statSync } from 'node:fs';
import { NodeSecrets } from './adapters/secrets/node-secrets.ts';
import { FolderHeldError } from './adapters/sqlite/folder-lock.ts';
import { SqliteAccessStore } from './adapters/sqlite/sqlite-access-store.ts';
import { SqliteMqttUsers } from './adapters/sqlite/sqlite-mqtt-users.ts';
import { claimFolder, openCatalogue, StartError } from './compose.ts';
import type { AccessStore } from './ports/access-store.ts';
import type { MqttUsers } from './ports/mqtt-users.ts';
import type { Secrets } from './ports/secrets.ts';

export interface AccessDesk {
  readonly store: AccessStore;
  readonly mqttUsers: MqttUsers;
  readonly secrets: Secrets;
  close(): void;
}

/**
 * Opens what is kept of access, and makes the data folder if there is none. A running service reads it anew for every
 * request, so it follows at once. Throws `StartError`.
 */
export function openAccess(folder: string): AccessDesk {
  const release = heldMeanwhile(folder);
  try {
    refuseForeignFolder(folder);
    const database = openCatalogue(folder);
    const close = () => {
      database.close();
      release();
    };
    return {
      store: new SqliteAccessStore(database),
      mqttUsers: new SqliteMqttUsers(database),
      secrets: new NodeSecrets(),
      close,
    };
  } catch (error) {
    release();
    throw error;
  }
}

/** A service that starts just now must not find a half-made folder; one that runs already holds it itself. */
function heldMeanwhile(folder: string): () => void {
  try {
    return claimFolder(folder);
  } catch (error) {
    if (error instanceof StartError && error.cause instanceof FolderHeldError) return () => undefined;
    throw error;
  }
}

/** Files that root makes beside the database would keep the service's own user out. */
function refuseForeignFolder(folder: string): void {
  const { uid } = statSync(folder);
  const mine = process.getuid?.() ?? uid;
  if (uid !== mine)
    throw new StartError(
      `${folder} belongs to another user (number ${uid}); run this as that user: sudo -u '#${uid}' …`,
    );
}
