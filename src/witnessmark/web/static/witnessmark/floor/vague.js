/**
 * Vague words, and what they prompt. The words come from `witnessmark.audit.vague` with everything
 * else that is known of the audit; the matching is the same.
 *
 * @typedef {Record<string, {phrases: string[], prompts: string[]}>} Vocabulary
 */

const WORD = /[\p{L}\p{N}_]+/gu;
const BETWEEN = /^[\s\-\u2010\u2011'’]+$/;

/** @param {string} text */
function fold(text) {
  const folded = text.normalize("NFC").toLowerCase().replaceAll("ß", "ss").replaceAll("ς", "σ");
  return (folded.normalize("NFC").match(WORD) ?? []).join(" ");
}

/** @param {string} text @param {string} language @param {Vocabulary} vocabulary @returns {string[]} */
export function vagueWords(text, language, vocabulary) {
  const known = vocabulary[language.toLowerCase().split(/[-_]/)[0]];
  if (!known) return [];
  const phrases = new Set(known.phrases);
  const longest = Math.max(...known.phrases.map((phrase) => phrase.split(" ").length));
  const whole = text.normalize("NFC");
  const words = [...whole.matchAll(WORD)];
  /** @type {Map<string, string>} */
  const found = new Map();
  for (let first = 0; first < words.length; ) {
    const length = matched(whole, words, first, phrases, longest);
    if (length) {
      const last = words[first + length - 1];
      const said = whole.slice(words[first].index, last.index + last[0].length);
      if (!found.has(fold(said))) found.set(fold(said), said);
    }
    first += length || 1;
  }
  return [...found.values()];
}

/** @param {string} text @param {RegExpExecArray[]} words @param {number} first
 * @param {Set<string>} phrases @param {number} longest */
function matched(text, words, first, phrases, longest) {
  let phrase = "";
  let end = words[first].index;
  let best = 0;
  for (let length = 1; length <= longest && first + length <= words.length; length++) {
    const word = words[first + length - 1];
    if (phrase && !BETWEEN.test(text.slice(end, word.index))) break;
    phrase = `${phrase} ${fold(word[0])}`.trim();
    end = word.index + word[0].length;
    if (phrases.has(phrase)) best = length;
  }
  return best;
}

/** @param {string} language @param {Vocabulary} vocabulary */
export function promptsFor(language, vocabulary) {
  return (vocabulary[language.toLowerCase().split(/[-_]/)[0]] ?? vocabulary.en)?.prompts ?? [];
}
