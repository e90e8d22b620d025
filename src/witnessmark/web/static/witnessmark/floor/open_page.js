/**
 * The outbox of a page that may not encrypt or chain (plain http on a LAN): it lives as long as the
 * page is open, and the installation chains at receipt what it hands over. The same face as Outbox.
 *
 * @typedef {import("./outbox.js").Item} Item
 * @typedef {import("./event.js").Told} Told
 */

const NOWHERE = { device: "", seq: 0, hash: "" };

export class OpenPageOutbox {
  constructor() {
    this.lasting = false;
    /** @type {(Item & {told: Told})[]} */
    this.kept = [];
  }

  /** @param {Told[]} told @param {import("./outbox.js").Also} also */
  async append(told, also = {}) {
    for (const one of told) {
      this.kept.push(/** @type {any} */ ({
        id: one.id, audit: one.audit, author: one.author, kind: one.kind, order: this.kept.length,
        state: "waiting", message: "", seq: 0, keptAt: 0, writtenAt: Date.now(), place: NOWHERE,
        told: one,
      }));
    }
    if (also.replaces) await this.mark(also.replaces, { state: "replaced" });
  }

  /** @param {string} audit */
  async items(audit) {
    return this.kept.filter((item) => item.audit === audit);
  }

  /** @param {string} audit @param {string} author */
  async waiting(audit, author) {
    return this.kept.filter(
      (item) => item.audit === audit && item.author === author && item.state === "waiting",
    );
  }

  /** @param {any} item */
  async content(item) {
    return { told: item.told, event: "", signature: "" };
  }

  /** @param {string} audit @param {string} author @param {import("./outbox.js").Answer[]} answers */
  async settle(audit, author, answers) {
    for (const said of answers) {
      const changed = said.status === "refused"
        ? { state: "refused", message: said.message ?? "" }
        : { state: "kept", seq: said.seq ?? 0, keptAt: Date.now() };
      await this.mark(said.id, /** @type {any} */ (changed));
    }
  }

  /** @param {string} id @param {Partial<Item>} changed */
  async mark(id, changed) {
    const item = this.kept.find((one) => one.id === id);
    if (item) Object.assign(item, changed);
  }

  async rechain() {}

  async sweep() {
    return 0;
  }
}
