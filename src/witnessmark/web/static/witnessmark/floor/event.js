/**
 * The author event, exactly as `witnessmark.audit.event` reads it, and its place in a chain.
 *
 * @typedef {{salt: string, text: string}} Payload
 * @typedef {{device: string, seq: number, hash: string}} Head the last event of a chain
 * @typedef {object} Told what is to be written down
 * @property {string} id
 * @property {string} audit
 * @property {string} author
 * @property {string} at by this device's clock, as 2026-03-29T01:00:00.000Z
 * @property {number} offset_min what its wall clock is ahead of UTC
 * @property {string} kind
 * @property {Record<string, any>} body without its sealed texts
 * @property {Record<string, string>} texts the sealed texts, by field
 * @property {string} supersedes id of what it corrects, or nothing
 * @typedef {Told & {marks: Record<string, string>, payloads: Record<string, Payload>}} Sealed
 * @typedef {object} Chained
 * @property {string} event canonical text
 * @property {string} hash
 * @property {Head} head where the chain stands after it
 */

import { canonical } from "./canonical.js";
import { newId, newSalt, sha256 } from "./bytes.js";

export const GENESIS = "0".repeat(64);
const VERSION = 1;

/** The head of a chain that has no event yet, on a device of a new name. @returns {Head} */
export function newChain() {
  return { device: newId(), seq: 0, hash: GENESIS };
}

/**
 * Puts a commitment in the place of every text. Done once for an event, so that an event which is
 * chained anew still tells the same.
 * @param {Told} told
 * @returns {Promise<Sealed>}
 */
export async function seal(told) {
  /** @type {Record<string, string>} */
  const marks = {};
  /** @type {Record<string, Payload>} */
  const payloads = {};
  for (const [name, text] of Object.entries(told.texts)) {
    if (!text) continue;
    const salt = newSalt();
    marks[name] = await sha256(salt + text);
    payloads[marks[name]] = { salt, text };
  }
  return { ...told, marks, payloads };
}

/**
 * @param {Sealed} told
 * @param {Head} head of the chain it follows
 * @returns {Promise<Chained>}
 */
export async function chain(told, head) {
  const { id, audit, author, at, offset_min, kind, body, marks, supersedes } = told;
  const seq = head.seq + 1;
  const event = canonical({
    id, audit, device: head.device, device_seq: seq, previous: head.hash, at, offset_min, author,
    kind, body: { ...body, ...marks }, supersedes, v: VERSION,
  });
  const hash = await sha256(event);
  return { event, hash, head: { device: head.device, seq, hash } };
}
