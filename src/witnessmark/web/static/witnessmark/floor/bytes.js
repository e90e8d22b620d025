/** Bytes, hexadecimal digits, random names, and SHA-256. */

const SALT_BYTES = 32;

/** @param {ArrayBuffer | Uint8Array} bytes @returns {string} */
export function hex(bytes) {
  return Array.from(new Uint8Array(bytes), (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** @param {string} text @returns {Uint8Array} */
export function utf8(text) {
  return new TextEncoder().encode(text);
}

/** A fresh salt, as hexadecimal digits. */
export function newSalt() {
  return hex(crypto.getRandomValues(new Uint8Array(SALT_BYTES)));
}

/** A UUID of version 4; `crypto.randomUUID` exists on secure pages only. */
export function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  return hex(bytes).replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

/** @param {string | ArrayBuffer} content @returns {Promise<string>} 64 hexadecimal digits */
export async function sha256(content) {
  const bytes = typeof content === "string" ? utf8(content) : content;
  return hex(await crypto.subtle.digest("SHA-256", bytes));
}
