"""Canonical bytes and the seal: the same everywhere, and no change unseen."""

import hashlib
import json
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.frozen import canonical, digest, seal, verify

OFFER = {"number": "Q-7", "totals": {"gross": "12.50"}}
INTERNAL = {"cost_total": "6.25"}


def test_keys_sort_by_utf_16_as_rfc_8785_prints() -> None:
    # RFC 8785, section 3.2.3: its sample object and the order it gives.
    content = {
        "\u20ac": "Euro Sign",
        "\r": "Carriage Return",
        "\ufb33": "Hebrew Letter Dalet With Dagesh",
        "1": "One",
        "\U0001f600": "Emoji: Grinning Face",
        "\u0080": "Control",
        "\u00f6": "Latin Small Letter O With Diaeresis",
    }
    assert canonical(content=content).decode() == (
        '{"\\r":"Carriage Return","1":"One","\u0080":"Control",'
        '"\u00f6":"Latin Small Letter O With Diaeresis","\u20ac":"Euro Sign",'
        '"\U0001f600":"Emoji: Grinning Face","\ufb33":"Hebrew Letter Dalet With Dagesh"}'
    )


def test_text_is_escaped_as_rfc_8785_prints() -> None:
    # RFC 8785, section 3.2.2: its sample's text and literals (its fractions are refused here).
    content = {"string": '\u20ac$\u000f\u000aA\'B"\\\\"/', "literals": [None, True, False]}
    assert canonical(content=content).decode() == (
        '{"literals":[null,true,false],"string":"\u20ac$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'
    )


def test_a_decimal_is_text_with_its_zeros() -> None:
    numbers = [Decimal("1.50"), Decimal("1E+3"), Decimal("1E-7"), 12]
    assert canonical(content=numbers) == b'["1.50","1000","0.0000001",12]'


def test_order_and_kind_of_containers_change_no_byte() -> None:
    assert canonical(content={"b": (1, 2), "a": {}}) == canonical(content={"a": {}, "b": [1, 2]})


@pytest.mark.parametrize(
    "bad",
    [
        1.0,
        float("nan"),
        float("inf"),
        Decimal("NaN"),
        Decimal("-Infinity"),
        2**53,
        b"bytes",
        {1, 2},
        object(),
        {1: "key"},
        {None: "key"},
        "\ud800",
        {"\udfff": "key"},
    ],
)
def test_what_has_no_one_way_of_writing_is_refused(bad: object) -> None:
    for content in (bad, {"deep": [bad]}):
        with pytest.raises(ValueError, match="content"):
            canonical(content=content)


def test_content_inside_itself_is_refused() -> None:
    loop: list[object] = []
    loop.append(loop)
    with pytest.raises(ValueError, match="nested"):
        canonical(content=loop)


_CONTENT = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53) + 1, 2**53 - 1) | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=5), inner, max_size=4)
    ),
    max_leaves=8,
)


@settings(max_examples=40, deadline=None)
@given(content=_CONTENT)
def test_a_json_reader_finds_the_content_again(content: object) -> None:
    written = canonical(content=content)
    assert json.loads(written) == content
    assert canonical(content=json.loads(written)) == written


def test_the_seal_is_what_its_documentation_says() -> None:
    previous = "0f" * 32
    offer, internal = canonical(content=OFFER), canonical(content=INTERNAL)
    spelled_out = (
        b"gloaming seal 1\n"
        b"64\n"
        + previous.encode()
        + b"%d\n" % len(offer)
        + offer
        + b"%d\n" % len(internal)
        + internal
    )
    expected = hashlib.sha256(spelled_out).hexdigest()
    assert seal(offer=offer, internal=internal, previous=previous) == expected
    assert seal(offer=OFFER, internal=INTERNAL, previous=previous) == expected


def test_the_seal_of_a_first_issue_never_changes() -> None:
    # Worked out once by sha256sum over the framed bytes; a change would break every stored seal.
    # printf 'gloaming seal 1\n0\n43\n{"number":"Q-7","totals":{"gross":"12.50"}}21\n{"cost_total":"6.25"}'
    assert seal(offer=OFFER, internal=INTERNAL, previous=None) == GOLDEN
    assert seal(offer=OFFER, internal=INTERNAL, previous="") == GOLDEN


GOLDEN = "e806d611cd463cf27473c578e8337844e7727e04f65b56a43b6ac911c5589b4b"


def test_every_flipped_bit_is_found() -> None:
    offer, internal = canonical(content=OFFER), canonical(content=INTERNAL)
    previous = seal(offer=b"{}", internal=b"{}", previous=None)
    sealed = seal(offer=offer, internal=internal, previous=previous)
    assert verify(offer=offer, internal=internal, previous=previous, sha256=sealed)
    for name, payload in (("offer", offer), ("internal", internal)):
        for position in range(len(payload) * 8):
            damaged = bytearray(payload)
            damaged[position // 8] ^= 1 << position % 8
            parts = {"offer": offer, "internal": internal, name: bytes(damaged)}
            assert not verify(**parts, previous=previous, sha256=sealed)
    for position in range(64 * 8):
        for name in ("previous", "sha256"):
            text = bytearray({"previous": previous, "sha256": sealed}[name].encode())
            text[position // 8] ^= 1 << position % 8
            seals = {"previous": previous, "sha256": sealed, name: text.decode("latin-1")}
            assert not verify(offer=offer, internal=internal, **seals)


def test_no_byte_moves_from_one_part_to_the_next_unseen() -> None:
    assert seal(offer=b"ab", internal=b"c", previous=None) != seal(
        offer=b"a", internal=b"bc", previous=None
    )
    # A part that itself looks like a frame makes no other's seal.
    assert seal(offer=b"1\nx", internal=b"", previous=None) != seal(
        offer=b"", internal=b"1\nx", previous=None
    )


def test_an_issue_out_of_its_chain_is_found() -> None:
    first = seal(offer=OFFER, internal=INTERNAL, previous=None)
    second = seal(offer=OFFER, internal=INTERNAL, previous=first)
    assert verify(offer=OFFER, internal=INTERNAL, previous=first, sha256=second)
    assert not verify(offer=OFFER, internal=INTERNAL, previous=None, sha256=second)
    assert not verify(offer=OFFER, internal=INTERNAL, previous=second, sha256=first)


def test_bytes_of_a_database_are_taken_as_they_are() -> None:
    offer, internal = canonical(content=OFFER), canonical(content=INTERNAL)
    sealed = seal(offer=offer, internal=internal, previous=None)
    assert verify(
        offer=memoryview(offer), internal=bytearray(internal), previous=None, sha256=sealed
    )
    assert digest(payload=memoryview(offer)) == hashlib.sha256(offer).hexdigest()


@pytest.mark.parametrize("bad", ["zz", "A" * 64, "0" * 63, "0" * 64 + "\n", 7])
def test_what_is_no_seal_is_refused(bad: str) -> None:
    with pytest.raises(ValueError, match="previous"):
        seal(offer=b"", internal=b"", previous=bad)
    assert verify(offer=b"", internal=b"", previous=None, sha256=bad) is False
    assert verify(offer=b"", internal=b"", previous=bad, sha256="0" * 64) is False


@pytest.mark.parametrize("bad", ["text", None, 7, ["list"], {"price": 1.5}])
def test_what_is_no_payload_is_refused(bad: object) -> None:
    with pytest.raises(ValueError):
        seal(offer=bad, internal=b"", previous=None)
    with pytest.raises(ValueError):
        verify(offer=b"", internal=bad, previous=None, sha256="0" * 64)
