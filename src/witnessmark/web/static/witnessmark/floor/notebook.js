/**
 * The notebook behind its page: where it writes, what it knows of the audit, and what time it is.
 *
 * @typedef {import("./event.js").Told} Told
 * @typedef {{values: Record<string, any>, context: Record<string, string>}} Draft
 * @typedef {Record<string, any>} Known what `/floor/<audit>/known` tells
 */

import { newId } from "./bytes.js";
import { OpenPageOutbox } from "./open_page.js";
import { Outbox } from "./outbox.js";
import { Photos } from "./photos.js";
import { get } from "./server.js";
import { synchronise } from "./sync.js";
import { Vault } from "./vault.js";

const CLOCK_MATTERS_MS = 120_000;

export class Notebook {
  /** Between tries at what found no room: browsers may count what was let go as used until they
   * have collected the memory that it was read into. */
  static pausesMs = [100, 500, 2000];

  /** @param {string} audit @param {Vault | null} vault */
  constructor(audit, vault) {
    this.audit = audit;
    this.vault = vault;
    /** @type {any} */
    this.outbox = vault ? new Outbox(vault) : new OpenPageOutbox();
    this.photos = vault ? new Photos(vault) : null;
    /** @type {Known | null} */
    this.known = null;
    /** @type {Record<string, string[]>} */
    this.remembered = {};
    /** @type {Map<string, Draft>} */
    this.drafts = new Map();
    this.draftsKept = Promise.resolve();
    this.channel = "BroadcastChannel" in self ? new BroadcastChannel("witnessmark-floor") : null;
  }

  /** Opens what is on this phone; without secure storage the page is its own outbox.
   * @param {string} audit @param {string[]} captures names */
  static async open(audit, captures) {
    let vault = null;
    if (isSecureContext && crypto.subtle && "indexedDB" in self) {
      try {
        vault = await Vault.open();
      } catch (error) {
        console.warn(error);
      }
    }
    const notebook = new Notebook(audit, vault);
    if (vault) await notebook.remember(captures);
    return notebook;
  }

  /** @param {string[]} captures */
  async remember(captures) {
    const vault = /** @type {Vault} */ (this.vault);
    this.known = (await vault.getBox(`known/${this.audit}`)) ?? null;
    this.remembered = (await vault.getBox(`words/${this.audit}`)) ?? {};
    for (const name of captures) {
      const draft = await vault.getBox(this.draftName(name));
      if (draft) this.drafts.set(name, draft);
    }
    await this.outbox.sweep();
  }

  /** This moment, by the server's clock as far as it is known. */
  now() {
    return new Date(Date.now() + this.offset());
  }

  /** What must be added to this phone's clock. */
  offset() {
    const offset = this.known?.offset_ms ?? 0;
    return Math.abs(offset) > CLOCK_MATTERS_MS ? offset : 0;
  }

  get zone() {
    return this.known?.zone ?? "UTC";
  }

  get author() {
    return this.known?.user ?? "";
  }

  /** Answers given before under a name, the latest first. @param {string} name @returns {string[]} */
  words(name) {
    return [...new Set([...(this.remembered[name] ?? []), ...(this.known?.remembered?.[name] ?? [])])];
  }

  /** @param {Record<string, string[]>} words by name */
  async learn(words) {
    for (const [name, said] of Object.entries(words)) {
      const known = this.remembered[name] ?? [];
      this.remembered[name] = [...new Set([...said, ...known])].filter(Boolean).slice(0, 60);
    }
    await this.vault?.putBox(`words/${this.audit}`, this.remembered);
  }

  /** @param {string} kind @param {Record<string, any>} body @param {Record<string, string>} texts
   * @param {string} supersedes @returns {Told} */
  tell(kind, body, texts, supersedes = "") {
    const now = new Date();
    return {
      id: newId(), audit: this.audit, author: this.author, at: now.toISOString(),
      offset_min: -now.getTimezoneOffset(), kind, body, texts, supersedes,
    };
  }

  /** Writes down; on the disk when the promise is kept.
   * @param {Told[]} told @param {string} capture whose draft it ends
   * @param {import("./outbox.js").Also} also */
  async write(told, capture, also = {}) {
    await this.draftsKept;
    await this.withRoom(() => this.outbox.append(told, { ...also, dropBox: this.draftName(capture) }));
    this.drafts.delete(capture);
    this.channel?.postMessage(this.audit);
  }

  /** Does something that needs room; photos that the server has kept make it, where it is short.
   * @template T @param {() => Promise<T>} work @param {number} bytes @returns {Promise<T>} */
  async withRoom(work, bytes = 1_000_000) {
    try {
      return await work();
    } catch (error) {
      if (!isFull(error) || !this.photos || !(await this.photos.free(bytes))) throw error;
      return afterwards(work);
    }
  }

  /** Keeps a draft, one after the other so that the last one stays.
   * @param {string} capture @param {Draft | undefined} draft */
  keepDraft(capture, draft) {
    if (draft) this.drafts.set(capture, draft);
    else this.drafts.delete(capture);
    if (!this.vault) return Promise.resolve();
    const vault = this.vault;
    const kept = this.draftsKept.then(() =>
      this.withRoom(() => vault.putBox(this.draftName(capture), this.drafts.get(capture))),
    );
    this.draftsKept = kept.catch(() => {});
    return kept;
  }

  /** @param {string} capture */
  draftName(capture) {
    return `draft/${this.audit}/${capture}`;
  }

  /** Asks what is known of the audit now; gives whether the server answered. */
  async refresh() {
    const asked = Date.now();
    const known = await get(`/floor/${this.audit}/known`);
    const trip = Date.now() - asked;
    known.offset_ms = Math.round(Date.parse(known.at) + trip / 2 - Date.now());
    known.fetched_at = Date.now();
    this.known = known;
    await this.vault?.putBox(`known/${this.audit}`, known);
  }

  /** Sends what waits, then asks what is known. @returns {Promise<import("./sync.js").Outcome>} */
  async sync() {
    const signer = this.vault?.keys.signer ?? "";
    const outcome = await synchronise({
      audit: this.audit, outbox: this.outbox, photos: this.photos, signer,
    });
    if (outcome.result === "done" || outcome.result === "other-account") {
      try {
        await this.refresh();
      } catch (error) {
        console.warn(error);
      }
      this.channel?.postMessage(this.audit);
    }
    return outcome;
  }
}

/** Does what just found no room, now that something was let go.
 * @template T @param {() => Promise<T>} work @returns {Promise<T>} */
async function afterwards(work) {
  for (const pause of Notebook.pausesMs) {
    try {
      return await work();
    } catch (error) {
      if (!isFull(error)) throw error;
    }
    await new Promise((done) => setTimeout(done, pause));
  }
  return work();
}

/** @param {unknown} error */
export function isFull(error) {
  return error instanceof DOMException && error.name === "QuotaExceededError";
}
