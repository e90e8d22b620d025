/**
 * The outbox: what was written on this device, in one chain per audit and account, until and after
 * the server has acknowledged it. Nothing leaves it before. Two tabs may write at once: a change is
 * made only on the version of the chain that it was worked out from, else it is worked out anew.
 *
 * @typedef {import("./event.js").Told} Told
 * @typedef {import("./event.js").Sealed} Sealed
 * @typedef {import("./event.js").Head} Head
 * @typedef {import("./vault.js").Vault} Vault
 * @typedef {{version: number, count: number, head: Head, acked: Head}} Chain
 * @typedef {"waiting" | "kept" | "refused" | "replaced"} State
 * @typedef {object} Item
 * @property {string} id
 * @property {string} audit
 * @property {string} author
 * @property {number} order
 * @property {string} kind
 * @property {State} state
 * @property {string} message why it was refused
 * @property {number} seq its number in the journal, once acknowledged
 * @property {number} keptAt
 * @property {number} writtenAt
 * @property {Head} place in this device's chain
 * @property {import("./vault.js").Box} box
 * @typedef {{told: Sealed, event: string, signature: string}} Content
 * @typedef {{id: string, status: string, hash?: string, seq?: number, message?: string}} Answer
 * @typedef {{dropBox?: string, photos?: string[], replaces?: string}} Also
 */

import { chain, newChain, seal } from "./event.js";
import { answer } from "./vault.js";

const DAY_MS = 86_400_000;
export const KEPT_FOR_DAYS = 3;

export class Outbox {
  /** @param {Vault} vault */
  constructor(vault) {
    this.vault = vault;
    this.lasting = true;
  }

  /**
   * Writes down one or more things together, all or none; durable when the promise is kept.
   * @param {Told[]} told of one audit and one author
   * @param {Also} also what changes with it: a draft that ends, photos that are meant, an item that
   *   this one stands for
   */
  async append(told, also = {}) {
    const sealed = await Promise.all(told.map(seal));
    const { audit, author } = told[0];
    await this.change(audit, author, async (chained) => {
      const items = [];
      for (const one of sealed) {
        const made = await this.place(one, chained.head);
        chained.head = made.place;
        items.push({ ...made, order: chained.count++, writtenAt: Date.now() });
      }
      return { put: items, also };
    });
  }

  /** Everything of an audit, oldest first. @param {string} audit @returns {Promise<Item[]>} */
  async items(audit) {
    const found = await answer(this.vault.reading("items").index("audit").getAll(audit));
    return found.sort((a, b) => a.writtenAt - b.writtenAt || a.order - b.order);
  }

  /** What is to be sent, in the order of the chain. @param {string} audit @param {string} author */
  async waiting(audit, author) {
    const mine = (await this.items(audit)).filter(
      (item) => item.author === author && item.state === "waiting",
    );
    return mine.sort((a, b) => a.order - b.order);
  }

  /** @param {Item} item @returns {Promise<Content>} */
  content(item) {
    return this.vault.unseal(item.box);
  }

  /**
   * Takes in what the server answered.
   * @param {string} audit @param {string} author @param {Answer[]} answers
   * @returns {Promise<void>}
   */
  async settle(audit, author, answers) {
    const byId = new Map(answers.map((one) => [one.id, one]));
    await this.change(audit, author, async (chained) => {
      const put = [];
      for (const item of await this.waiting(audit, author)) {
        const said = byId.get(item.id);
        if (!said || said.status === "fork") continue;
        if (said.status === "refused") {
          put.push({ ...item, state: "refused", message: said.message ?? "" });
        } else {
          put.push({ ...item, state: "kept", seq: said.seq ?? 0, keptAt: Date.now() });
          if (said.hash === item.place.hash) chained.acked = item.place;
        }
      }
      return { put, onlyWaiting: true };
    });
  }

  /**
   * Chains what is not acknowledged anew, under the same ids: after the last acknowledged event, or
   * on a device of a new name where the server knows another chain of this one.
   * @param {string} audit @param {string} author @param {boolean} afresh
   */
  async rechain(audit, author, afresh) {
    await this.change(audit, author, async (chained) => {
      const start = afresh ? newChain() : chained.acked;
      const put = [];
      chained.head = start;
      chained.acked = start;
      for (const item of await this.waiting(audit, author)) {
        const { told } = await this.content(item);
        const made = await this.place(told, chained.head);
        chained.head = made.place;
        put.push({ ...item, place: made.place, box: made.box });
      }
      return { put, onlyWaiting: true };
    });
  }

  /** @param {string} id @param {Partial<Item>} changed */
  async mark(id, changed) {
    await this.vault.write(["items"], async (items) => {
      const item = await answer(items.get(id));
      if (item) await answer(items.put({ ...item, ...changed }));
    });
  }

  /** Forgets what the server has kept for some days; gives the number. @param {number} now */
  async sweep(now = Date.now()) {
    const old = now - KEPT_FOR_DAYS * DAY_MS;
    return this.vault.write(["items"], async (items) => {
      const all = /** @type {Item[]} */ (await answer(items.getAll()));
      const gone = all.filter((item) => item.state === "kept" && item.keptAt < old);
      for (const item of gone) await answer(items.delete(item.id));
      return gone.length;
    });
  }

  /** @param {Sealed} told @param {Head} head @returns {Promise<Omit<Item, "order" | "writtenAt">>} */
  async place(told, head) {
    const made = await chain(told, head);
    const signature = await this.vault.sign(made.hash);
    const box = await this.vault.seal({ told, event: made.event, signature });
    const { id, audit, author, kind } = told;
    return {
      id, audit, author, kind, state: "waiting", message: "", seq: 0, keptAt: 0,
      place: made.head, box,
    };
  }

  /**
   * Compare and set: works a change out, and makes it if nobody changed the chain meanwhile.
   * Hashing cannot wait inside a transaction of IndexedDB, so this is how tabs are kept apart.
   * @param {string} audit @param {string} author
   * @param {(chain: Chain) => Promise<{put: any[], onlyWaiting?: boolean, also?: Also}>} work
   */
  async change(audit, author, work) {
    const key = `${audit}/${author}`;
    for (;;) {
      const known = await answer(this.vault.reading("chains").get(key));
      const start = newChain();
      const next = known ? { ...known } : { version: 0, count: 0, head: start, acked: start };
      const { put, onlyWaiting = false, also = {} } = await work(next);
      const stores = ["chains", "items", "boxes", "photos"];
      const made = await this.vault.write(stores, async (chains, items, boxes, photos) => {
        const now = await answer(chains.get(key));
        if ((now?.version ?? 0) !== next.version) return false;
        for (const item of put) {
          if (onlyWaiting && (await answer(items.get(item.id)))?.state !== "waiting") continue;
          await answer(onlyWaiting ? items.put(item) : items.add(item));
        }
        await alongside(also, items, boxes, photos);
        await answer(chains.put({ ...next, version: next.version + 1 }, key));
        return true;
      });
      if (made) return;
    }
  }
}

/** @param {Also} also @param {IDBObjectStore} items @param {IDBObjectStore} boxes
 * @param {IDBObjectStore} photos */
async function alongside(also, items, boxes, photos) {
  if (also.dropBox) await answer(boxes.delete(also.dropBox));
  for (const sha256 of also.photos ?? []) {
    const photo = await answer(photos.get(sha256));
    if (photo?.state === "draft") await answer(photos.put({ ...photo, state: "waiting" }));
  }
  if (also.replaces) {
    const item = await answer(items.get(also.replaces));
    if (item) await answer(items.put({ ...item, state: "replaced" }));
  }
}
