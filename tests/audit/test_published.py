"""Values published elsewhere: canonical JSON and signatures."""

import struct

import pytest

from witnessmark.audit.canonical import NotCanonicalError, canonical
from witnessmark.audit.signing import Signer, is_signed

# RFC 8785, sections 3.2.2 to 3.2.4 (from memory).
SAMPLE = {
    "numbers": [333333333.33333329, 1e30, 4.50, 2e-3, 0.000000000000000000000000001],
    "string": "\u20ac$\u000f\u000aA'\u0042\u0022\u005c\\\"/",
    "literals": [None, True, False],
}
SAMPLE_BYTES = (
    '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
    '"string":"\u20ac$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'
).encode()
# RFC 8785, section 3.2.3: keys sort by UTF-16 code units (from memory).
KEYS = ["\r", "1", "\u0080", "\u00f6", "\u20ac", "\U0001f600", "\ufb33"]
# RFC 8785, appendix B: IEEE 754 doubles and their text (from memory).
NUMBERS = {
    "0000000000000000": "0",
    "8000000000000000": "0",
    "0000000000000001": "5e-324",
    "8000000000000001": "-5e-324",
    "7fefffffffffffff": "1.7976931348623157e+308",
    "ffefffffffffffff": "-1.7976931348623157e+308",
    "4340000000000000": "9007199254740992",
    "c340000000000000": "-9007199254740992",
    "4430000000000000": "295147905179352830000",
    "44b52d02c7e14af5": "9.999999999999997e+22",
    "44b52d02c7e14af6": "1e+23",
    "44b52d02c7e14af7": "1.0000000000000001e+23",
    "444b1ae4d6e2ef4e": "999999999999999700000",
    "444b1ae4d6e2ef4f": "999999999999999900000",
    "444b1ae4d6e2ef50": "1e+21",
    "3eb0c6f7a0b5ed8c": "9.999999999999997e-7",
    "3eb0c6f7a0b5ed8d": "0.000001",
    "41b3de4355555553": "333333333.3333332",
    "41b3de4355555554": "333333333.33333325",
    "41b3de4355555555": "333333333.3333333",
    "41b3de4355555556": "333333333.3333334",
    "41b3de4355555557": "333333333.33333343",
    "becbf647612f3696": "-0.0000033333333333333333",
    "43143ff3c1cb0959": "1424953923781206.2",
}
# RFC 8032, section 7.1, tests 1 to 3: secret, public key, message, signature (from memory; that
# they agree with each other under an independent implementation shows that they are right).
SIGNATURES = [
    (
        "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
        "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
        "",
        (
            "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555"
            "fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b"
        ),
    ),
    (
        "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
        "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
        "72",
        (
            "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da"
            "085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00"
        ),
    ),
    (
        "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
        "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025",
        "af82",
        (
            "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac"
            "18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a"
        ),
    ),
]


def test_canonical_json_of_the_published_sample():
    assert canonical(SAMPLE) == SAMPLE_BYTES


def test_keys_sort_as_published():
    told = canonical(dict.fromkeys(reversed(KEYS), 1)).decode()
    places = [told.index(f'"{key}"' if key != "\r" else '"\\r"') for key in KEYS]
    assert places == sorted(places)


@pytest.mark.parametrize(("bits", "text"), NUMBERS.items())
def test_numbers_are_written_as_published(bits, text):
    (number,) = struct.unpack(">d", bytes.fromhex(bits))
    assert canonical({"n": number}) == f'{{"n":{text}}}'.encode()


@pytest.mark.parametrize("bits", ["7fffffffffffffff", "7ff0000000000000", "fff0000000000000"])
def test_what_is_no_number_is_refused(bits):
    (number,) = struct.unpack(">d", bytes.fromhex(bits))
    with pytest.raises(NotCanonicalError):
        canonical({"n": number})


@pytest.mark.parametrize(("secret", "public", "message", "signature"), SIGNATURES)
def test_signatures_are_as_published(secret, public, message, signature):
    signer = Signer(bytes.fromhex(secret))
    assert signer.public == public
    assert signer._key.sign(bytes.fromhex(message)).hex() == signature
    if message != "af82":  # no text has these bytes
        text = bytes.fromhex(message).decode()
        assert signer.sign(text) == signature
        assert is_signed(public, text, signature)
        assert not is_signed(public, text + " ", signature)
