/** Asking the server, and what its silences and refusals mean in words. */

const PATIENCE_MS = 20_000;
const PATIENCE_PHOTO_MS = 300_000;

const WORDS = /** @type {Record<string, string>} */ ({
  offline: "The server cannot be reached. Everything is kept on this phone and sent later.",
  "signed-out": "You are signed out. Everything is kept on this phone; sign in to send it.",
  "not-open": "This audit is not open to the account that is signed in. Nothing is lost.",
  failed: "The server failed. Everything is kept on this phone and tried again.",
  fork: "The server holds another chain of this phone and refuses this one. Save a copy below.",
  "other-account":
    "Something here was written under another account. It is sent when that account signs in.",
});

/** @param {string} result */
export function wordsFor(result) {
  return WORDS[result] ?? WORDS.failed;
}

class ServerError extends Error {
  /** @param {string} result @param {number} status @param {string} words */
  constructor(result, status, words) {
    super(words);
    this.result = result;
    this.status = status;
    this.words = words;
  }
}

/** @param {string} address @param {RequestInit} options @param {number} patience */
async function ask(address, options, patience) {
  let response;
  try {
    response = await fetch(address, {
      ...options,
      credentials: "same-origin",
      cache: "no-store",
      redirect: "error",
      headers: { Accept: "application/json", ...options.headers },
      signal: AbortSignal.timeout(patience),
    });
    if (response.ok) return await response.json();
  } catch {
    throw new ServerError("offline", 0, wordsFor("offline"));
  }
  const result = { 401: "signed-out", 403: "not-open", 404: "not-open" }[response.status] ?? "failed";
  let said = "";
  try {
    said = (await response.json()).message ?? "";
  } catch { /* a page instead of an answer: the status says enough */ }
  throw new ServerError(result, response.status, said || wordsFor(result));
}

/** @param {string} address @returns {Promise<any>} */
export function get(address) {
  return ask(address, {}, PATIENCE_MS);
}

/** @param {string} address @param {string} token @param {unknown} body @returns {Promise<any>} */
export function post(address, token, body) {
  const headers = { "Content-Type": "application/json", "X-CSRFToken": token };
  return ask(address, { method: "POST", headers, body: JSON.stringify(body) }, PATIENCE_MS * 3);
}

/** @param {string} address @param {string} token @param {Blob} file @returns {Promise<any>} */
export function putPhoto(address, token, file) {
  const headers = { "Content-Type": "application/octet-stream", "X-CSRFToken": token };
  return ask(address, { method: "PUT", headers, body: file }, PATIENCE_PHOTO_MS);
}
