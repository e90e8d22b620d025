/**
 * What is kept on this device: IndexedDB, with everything that was written sealed under an AES-GCM
 * key which the browser holds and gives to nobody, not even to this page.
 */

import { hex, utf8 } from "./bytes.js";

const NAME = "witnessmark-floor";
const VERSION = 1;
const STRICT = /** @type {IDBTransactionOptions} */ ({ durability: "strict" });

/** @typedef {{iv: Uint8Array, data: ArrayBuffer}} Box */
/** @typedef {{sealing: CryptoKey, signing: CryptoKey | null, signer: string}} Keys */

/** @param {IDBFactory} storage @returns {Promise<IDBDatabase>} */
function openDatabase(storage) {
  const request = storage.open(NAME, VERSION);
  request.onupgradeneeded = () => {
    const db = request.result;
    db.createObjectStore("keys");
    db.createObjectStore("boxes"); // drafts, what is known of an audit, remembered words
    db.createObjectStore("chains");
    db.createObjectStore("items", { keyPath: "id" }).createIndex("audit", "audit");
    // What is said of a photo apart from its bytes, so that a change of state moves no megabytes.
    db.createObjectStore("photos", { keyPath: "sha256" }).createIndex("audit", "audit");
    db.createObjectStore("pictures");
  };
  return answer(request);
}

/** @template T @param {IDBRequest<T>} request @returns {Promise<T>} */
export function answer(request) {
  return new Promise((done, failed) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error);
  });
}

export class Vault {
  /** @param {IDBDatabase} db @param {Keys} keys */
  constructor(db, keys) {
    this.db = db;
    this.keys = keys;
    db.onversionchange = () => db.close(); // a newer page in another tab may go on
  }

  /** @param {IDBFactory} storage */
  static async open(storage = indexedDB) {
    const db = await openDatabase(storage);
    return new Vault(db, await findKeys(db));
  }

  /**
   * One transaction, on the disk when the promise is kept. `work` may await requests of the
   * transaction only; anything else would end it.
   * @template T
   * @param {string[]} stores
   * @param {(...stores: IDBObjectStore[]) => Promise<T>} work
   * @returns {Promise<T>}
   */
  async write(stores, work) {
    const transaction = this.db.transaction(stores, "readwrite", STRICT);
    const ended = ending(transaction);
    ended.catch(() => {}); // awaited below; a failure of `work` is told first
    let result;
    try {
      result = await work(...stores.map((name) => transaction.objectStore(name)));
    } catch (error) {
      try { transaction.abort(); } catch { /* it has ended by itself */ }
      throw transaction.error ?? error;
    }
    await ended;
    return result;
  }

  /** @param {string} store */
  reading(store) {
    return this.db.transaction(store, "readonly").objectStore(store);
  }

  /** @param {unknown} value anything JSON can hold @returns {Promise<Box>} */
  seal(value) {
    return this.sealBytes(utf8(JSON.stringify(value)));
  }

  /** @param {Box} box @returns {Promise<any>} */
  async unseal(box) {
    return JSON.parse(new TextDecoder().decode(await this.unsealBytes(box)));
  }

  /** @param {ArrayBuffer | Uint8Array} bytes @returns {Promise<Box>} */
  async sealBytes(bytes) {
    const iv = crypto.getRandomValues(new Uint8Array(12));
    return { iv, data: await crypto.subtle.encrypt({ name: "AES-GCM", iv }, this.keys.sealing, bytes) };
  }

  /** @param {Box} box @returns {Promise<ArrayBuffer>} */
  unsealBytes(box) {
    return crypto.subtle.decrypt({ name: "AES-GCM", iv: box.iv }, this.keys.sealing, box.data);
  }

  /** @param {string} name @param {unknown} value nothing removes it */
  async putBox(name, value) {
    const box = value === undefined ? undefined : await this.seal(value);
    await this.write(["boxes"], (boxes) => answer(box ? boxes.put(box, name) : boxes.delete(name)));
  }

  /** @param {string} name @returns {Promise<any>} */
  async getBox(name) {
    const box = await answer(this.reading("boxes").get(name));
    return box ? this.unseal(box) : undefined;
  }

  /** A signature over a hash's digits; empty where this browser cannot keep such a key.
   * @param {string} hash */
  async sign(hash) {
    if (!this.keys.signing) return "";
    return hex(await crypto.subtle.sign("Ed25519", this.keys.signing, utf8(hash)));
  }
}

/** @param {IDBTransaction} transaction @returns {Promise<void>} */
function ending(transaction) {
  return new Promise((done, failed) => {
    transaction.oncomplete = () => done();
    transaction.onabort = () => failed(transaction.error ?? new Error("The change was given up."));
  });
}

/** The keys of this browser, made at the first opening; of two tabs that make them, one wins.
 * @param {IDBDatabase} db @returns {Promise<Keys>} */
async function findKeys(db) {
  const read = () => answer(db.transaction("keys").objectStore("keys").get("keys"));
  const known = await read();
  if (known) return known;
  const made = await makeKeys();
  const transaction = db.transaction("keys", "readwrite", STRICT);
  transaction.objectStore("keys").add(made, "keys").onerror = (event) => event.preventDefault();
  await ending(transaction);
  return read();
}

/** @returns {Promise<Keys>} */
async function makeKeys() {
  const sealing = await crypto.subtle.generateKey({ name: "AES-GCM", length: 256 }, false, [
    "encrypt", "decrypt",
  ]);
  try {
    const pair = /** @type {CryptoKeyPair} */ (
      await crypto.subtle.generateKey("Ed25519", false, ["sign", "verify"])
    );
    const signer = hex(await crypto.subtle.exportKey("raw", pair.publicKey));
    return { sealing, signing: pair.privateKey, signer };
  } catch {
    return { sealing, signing: null, signer: "" }; // the installation vouches at receipt
  }
}
