/**
 * Canonical JSON (RFC 8785) of plain values: the same value has the same text on every machine.
 * The Python side is `witnessmark.audit.canonical`; a test holds the two against each other.
 */

const LONE_SURROGATE = /[\uD800-\uDBFF](?![\uDC00-\uDFFF])|(?<![\uD800-\uDBFF])[\uDC00-\uDFFF]/;

/** A value that has no canonical form: NaN, an integer beyond 2^53, half a character, undefined. */
export class NotCanonicalError extends Error {}

/**
 * @param {unknown} value
 * @returns {string}
 */
export function canonical(value) {
  if (value === null || typeof value === "boolean") return String(value);
  if (typeof value === "number") return number(value);
  if (typeof value === "string") return text(value);
  if (Array.isArray(value)) return `[${value.map(canonical).join(",")}]`;
  if (typeof value === "object" && isPlain(value)) {
    // JavaScript compares strings by UTF-16 code units, which is the order RFC 8785 asks for.
    const names = Object.keys(value).sort();
    const pairs = names.map((name) => `${text(name)}:${canonical(/** @type {any} */ (value)[name])}`);
    return `{${pairs.join(",")}}`;
  }
  throw new NotCanonicalError(`A value of the type ${typeof value} cannot be written down.`);
}

/** @param {number} value */
function number(value) {
  if (!Number.isFinite(value)) throw new NotCanonicalError(`${value} cannot be written down.`);
  if (Number.isInteger(value) && !Number.isSafeInteger(value)) {
    throw new NotCanonicalError(`${value} is too large to be written down exactly.`);
  }
  return JSON.stringify(value);
}

/** @param {string} value */
function text(value) {
  if (LONE_SURROGATE.test(value)) throw new NotCanonicalError("A text holds half a character.");
  return JSON.stringify(value);
}

/** @param {object} value */
function isPlain(value) {
  const made = Object.getPrototypeOf(value);
  return made === Object.prototype || made === null;
}
