"""The page's own arithmetic against Python's: canonical bytes, chains, signatures, vague words."""

import json
import random

import pytest

from witnessmark.audit.canonical import GENESIS, canonical, commitment
from witnessmark.audit.event import read_event
from witnessmark.audit.signing import is_signed
from witnessmark.audit.vague import as_json, vague_words

TEXTS = ["", "ä€𝄞", '\u2028\x00\x1f"\\/', "ﬁ", "a\u0301", "\ue000", "\U0001f600", "setter", "\x7f"]


@pytest.fixture(scope="module")
def core(chromium, server):
    """A page in which the modules can be called."""
    context = chromium.new_context()
    page = context.new_page()
    page.goto(f"{server.address}/floor/shell/")
    yield page
    context.close()


def call(page, module, expression, argument=None):
    """The value of an expression over a module `m` and an argument `a`."""
    from django.templatetags.static import static

    address = static(f"witnessmark/floor/{module}.js")
    return page.evaluate(
        f"async ([address, a]) => {{ const m = await import(address); return {expression}; }}",
        [address, argument],
    )


def draw_value(draw, depth=0):
    kind = draw.randrange(7 if depth < 4 else 5)
    match kind:
        case 0:
            return draw.choice([None, True, False])
        case 1:
            return draw.choice([0, -1, 1, 2**53 - 1, -(2**53) + 1, draw.randint(-(10**9), 10**9)])
        case 2:
            return draw.choice(
                [0.1, 1e-7, 1.5e-300, 5e-324, -0.0, 123456.789, draw.uniform(-1e6, 1e6)]
            )
        case 3 | 4:
            return "".join(draw.choices(TEXTS, k=draw.randint(0, 4)))
        case 5:
            return [draw_value(draw, depth + 1) for _ in range(draw.randint(0, 4))]
    names = ["".join(draw.choices(TEXTS, k=draw.randint(1, 3))) for _ in range(draw.randint(0, 5))]
    return {name: draw_value(draw, depth + 1) for name in names}


def test_canonical_bytes_are_those_of_python(core):
    draw = random.Random(7)
    values = [{"value": draw_value(draw)} for _ in range(600)]
    made = call(core, "canonical", "a.map((v) => m.canonical(JSON.parse(v)))",
                [json.dumps(value) for value in values])  # fmt: skip
    assert made == [canonical(value).decode() for value in values]


@pytest.mark.parametrize(
    "value", ["NaN", "Infinity", "2**53", "-(2**53)", "1e17", "'\\ud800'", "'\\udc00x'",
              "undefined", "new Date(0)", "{a: undefined}", "10n", "{'\\ud800': 1}"],
)  # fmt: skip
def test_what_has_no_canonical_form_is_refused(core, value):
    said = call(
        core, "canonical",
        f"(() => {{ try {{ m.canonical({value}); return 'made'; }}"
        " catch (e) { return e.constructor.name; } })()",
    )  # fmt: skip
    assert said == "NotCanonicalError"


def test_a_chain_made_in_the_page_is_read_here(core):
    told = {
        "id": "0b7f3c52-2f0e-4f59-9d38-0d9a1f3f6f01",
        "audit": "0b7f3c52-2f0e-4f59-9d38-0d9a1f3f6f02",
        "author": "u1", "at": "2026-03-24T05:00:00.123Z", "offset_min": 60,
        "kind": "statement-heard", "body": {"role": "setter", "vague": ["ü"]},
        "texts": {"words": "jede Stunde 𝄞", "translation": ""}, "supersedes": "",
    }  # fmt: skip
    sealed, first, second = call(
        core,
        "event",
        "(async () => { const s = await m.seal(a); const f = await m.chain(s, m.newChain());"
        " return [s, f, await m.chain(s, f.head)]; })()",
        told,
    )
    one, two = read_event(first["event"]), read_event(second["event"])
    assert (one.hash, two.hash) == (first["hash"], second["hash"])
    assert (one.previous, two.previous, two.device_seq) == (GENESIS, one.hash, 2)
    mark = one.body["words"]
    assert commitment(sealed["payloads"][mark]["salt"], "jede Stunde 𝄞") == mark
    assert "translation" not in one.body


def test_the_browsers_key_signs_and_cannot_be_taken_out(core):
    public, signature, kept = call(
        core,
        "vault",
        "(async () => { const v = await m.Vault.open(); const k = v.keys;"
        " return [k.signer, await v.sign('ab'.repeat(32)),"
        " [k.signing.extractable, k.sealing.extractable]]; })()",
    )
    assert is_signed(public, "ab" * 32, signature)
    assert kept == [False, False]


def test_nothing_that_was_written_lies_open_in_the_browsers_store(core):
    boxes = call(
        core,
        "vault",
        "(async () => { const v = await m.Vault.open(); await v.putBox('x', {said: 'a secret'});"
        " const box = await m.answer(v.reading('boxes').get('x'));"
        " return [Object.keys(box), new TextDecoder().decode(box.data), await v.getBox('x')]; })()",
    )
    assert sorted(boxes[0]) == ["data", "iv"]
    assert "secret" not in boxes[1]
    assert boxes[2] == {"said": "a secret"}


def test_vague_words_are_found_as_python_finds_them(core):
    draw = random.Random(7)
    vocabulary = as_json()
    for language, entry in vocabulary.items():
        texts = []
        for _ in range(60):
            words = draw.choices([*entry["phrases"], "M3", "Straße", "prüft", "2", "."], k=6)
            texts.append(draw.choice([" ", ", ", "-", "\n"]).join(words).title())
        found = call(core, "vague", "a[0].map((t) => m.vagueWords(t, a[1], a[2]))",
                     [texts, language, vocabulary])  # fmt: skip
        assert found == [list(vague_words(text, language)) for text in texts]


@pytest.mark.parametrize(
    ("clock", "toward", "now", "expected"),
    [
        ("05:10", "future", "2026-03-24T22:00:00Z", "2026-03-25T04:10:00Z"),
        ("23:30", "future", "2026-03-24T22:00:00Z", "2026-03-24T22:30:00Z"),
        ("22:50", "past", "2026-03-24T22:00:00Z", "2026-03-24T21:50:00Z"),
        ("23:50", "past", "2026-03-24T22:00:00Z", "2026-03-23T22:50:00Z"),
        ("05:10", "future", "2026-03-28T22:00:00Z", "2026-03-29T03:10:00Z"),
        ("05:10", "future", "2026-10-24T22:00:00Z", "2026-10-25T04:10:00Z"),
    ],
)
def test_a_time_of_day_is_the_nearest_one_in_the_plants_zone(core, clock, toward, now, expected):
    made = call(
        core,
        "zone",
        "m.written(m.nearest(a[0], 'Europe/Berlin', a[1], new Date(a[2])))",
        [clock, toward, now],
    )
    assert made == expected


ROOM = """(async () => {
  m.Notebook.pausesMs = [1, 1, 1];
  let tries = 0;
  const write = async () => {
    tries += 1;
    if (tries <= a.full) throw new DOMException('', 'QuotaExceededError');
    return 'kept';
  };
  const notebook = { photos: { free: async () => a.freed } };
  const tried = m.Notebook.prototype.withRoom.call(notebook, write);
  return [await tried.catch((error) => error.name), tries];
})()"""


@pytest.mark.parametrize(
    ("freed", "full", "came"),
    [
        (0, 0, ["kept", 1]),
        (3, 1, ["kept", 2]),
        # The browser counts as used for a while what was just let go.
        (3, 3, ["kept", 4]),
        (3, 99, ["QuotaExceededError", 5]),
        (0, 1, ["QuotaExceededError", 1]),
    ],
)
def test_what_finds_no_room_is_tried_again_only_when_something_was_let_go(core, freed, full, came):
    assert call(core, "notebook", ROOM, {"freed": freed, "full": full}) == came
