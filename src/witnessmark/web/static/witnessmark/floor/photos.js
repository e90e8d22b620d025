/**
 * Photos on this device, sealed, by the hash of their bytes. What the server has kept is the first
 * to go when room is short; what it has not is never let go.
 *
 * @typedef {import("./vault.js").Vault} Vault
 * @typedef {object} Photo
 * @property {string} sha256
 * @property {string} audit
 * @property {string} mediaType
 * @property {number} size
 * @property {"draft" | "waiting" | "kept" | "refused"} state
 * @property {string} message why it was refused
 * @property {number} at
 */

import { sha256 } from "./bytes.js";
import { answer } from "./vault.js";

const LONGEST_EDGE = 2000;
const QUALITY = 0.82;
const DRAFT_MS = 7 * 86_400_000;

export class Photos {
  /** @param {Vault} vault */
  constructor(vault) {
    this.vault = vault;
  }

  /**
   * Keeps a picture as it was chosen, before anything is written about it.
   * @param {string} audit @param {Blob} file @returns {Promise<Photo>}
   */
  async add(audit, file) {
    const bytes = await file.arrayBuffer();
    const name = await sha256(bytes);
    const box = await this.vault.sealBytes(bytes);
    const photo = /** @type {Photo} */ ({
      sha256: name, audit, mediaType: file.type || "image/jpeg", size: bytes.byteLength,
      state: "draft", message: "", at: Date.now(),
    });
    await this.vault.write(["photos", "pictures"], async (photos, pictures) => {
      if (await answer(photos.get(name))) return;
      await answer(pictures.put(box, name));
      await answer(photos.put(photo));
    });
    return photo;
  }

  /** @param {string} audit @returns {Promise<Photo[]>} oldest first */
  async list(audit) {
    const found = await answer(this.vault.reading("photos").index("audit").getAll(audit));
    return found.sort((a, b) => a.at - b.at);
  }

  /** @param {string} name @returns {Promise<Blob | null>} */
  async open(name) {
    const box = await answer(this.vault.reading("pictures").get(name));
    return box ? new Blob([await this.vault.unsealBytes(box)]) : null;
  }

  /** @param {string} name @param {"kept" | "refused"} state @param {string} message */
  async mark(name, state, message = "") {
    await this.vault.write(["photos"], async (photos) => {
      const photo = await answer(photos.get(name));
      if (photo) await answer(photos.put({ ...photo, state, message }));
    });
  }

  /**
   * Lets go of photos that the server has kept, the oldest first, and of drafts nobody came back to.
   * @param {number} wanted bytes that are needed @returns {Promise<number>} bytes that came free
   */
  async free(wanted, now = Date.now()) {
    return this.vault.write(["photos", "pictures"], async (photos, pictures) => {
      const all = /** @type {Photo[]} */ (await answer(photos.getAll()));
      const gone = all.filter((one) => one.state === "draft" && now - one.at > DRAFT_MS);
      let freed = 0;
      for (const one of all.filter((one) => one.state === "kept").sort((a, b) => a.at - b.at)) {
        if (freed >= wanted) break;
        gone.push(one);
        freed += one.size;
      }
      for (const one of gone) {
        await answer(pictures.delete(one.sha256));
        await answer(photos.delete(one.sha256));
      }
      return freed;
    });
  }
}

/** A smaller copy, where the user wants one. @param {Blob} file @returns {Promise<Blob>} */
export async function smaller(file) {
  const picture = await createImageBitmap(file);
  const share = Math.min(1, LONGEST_EDGE / Math.max(picture.width, picture.height));
  const canvas = new OffscreenCanvas(
    Math.round(picture.width * share), Math.round(picture.height * share),
  );
  canvas.getContext("2d")?.drawImage(picture, 0, 0, canvas.width, canvas.height);
  return canvas.convertToBlob({ type: "image/jpeg", quality: QUALITY });
}
