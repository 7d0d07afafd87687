"""Frozen content: bytes that are the same everywhere, and the seal that chains issues.

The bytes are JSON as RFC 8785 (JSON Canonicalization Scheme) writes it: UTF-8, no white space, keys
in the order of their UTF-16 code units, the fewest escapes. There is no fraction among them: a
Decimal is written as text, a float is refused. So any program with a JSON library of that standard
can make the same bytes, and any program with SHA-256 can check the seal.

The seal is SHA-256, in lower-case hex, over::

    "gloaming seal 1\\n"
    length of previous "\\n" previous      the seal of the issue before; empty for the first
    length of offer    "\\n" offer
    length of internal "\\n" internal

where each length is the number of bytes that follow, in ASCII decimal digits. As the lengths stand
in front, no byte can move from one part to the next unseen.
"""

import hashlib
import hmac
import json
import re
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

_HEADER = b"gloaming seal 1\n"
_SEAL = re.compile(r"[0-9a-f]{64}", re.ASCII)
_LARGEST_INT = 2**53 - 1  # the largest that every JSON reader keeps (RFC 8785, section 3.2.2.3)
_DEEPEST = 100

type Payload = Mapping[str, Any] | bytes | bytearray | memoryview


def canonical(*, content: Any) -> bytes:
    """Return the one way to write the content as bytes.

    ``content`` is made of mappings with text keys, lists or tuples, text, bool, None, int up to
    2^53 − 1, and Decimal (written as plain text, its trailing zeros kept: 1.50 becomes "1.50").
    Raises ValueError for a float, NaN, Infinity, any other type, text that is not Unicode, or
    content nested deeper than 100 (or in itself).

    Source: RFC 8785.

    >>> canonical(content={"net": Decimal("1.50"), "lines": [], "is_consumer": True})
    b'{"is_consumer":true,"lines":[],"net":"1.50"}'
    """
    plain = _plain(content, "content", 0)
    text = json.dumps(plain, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return text.encode("utf-8")


def seal(*, offer: Payload, internal: Payload, previous: str | None) -> str:
    """Return the seal of an issue, 64 lower-case hex digits.

    ``offer`` and ``internal`` are the stored bytes, or content to be written by ``canonical``;
    ``previous`` is the seal of the issue before, None (or empty) for a first issue. Raises
    ValueError for anything else.
    """
    before = previous or ""
    if not isinstance(before, str) or (before and not _SEAL.fullmatch(before)):
        raise ValueError(f"previous must be a seal of 64 hex digits or None, got {previous!r}")
    digest = hashlib.sha256(_HEADER)
    for part in (before.encode("ascii"), _bytes("offer", offer), _bytes("internal", internal)):
        digest.update(b"%d\n" % len(part))
        digest.update(part)
    return digest.hexdigest()


def verify(*, offer: Payload, internal: Payload, previous: str | None, sha256: str) -> bool:
    """Return whether ``sha256`` is the seal of these payloads after ``previous``.

    A damaged seal, this one or the previous, makes it False: that is what is being looked for.
    Raises ValueError for payloads that cannot be written at all.
    """
    if not isinstance(sha256, str) or not _SEAL.fullmatch(sha256):
        return False
    if previous and (not isinstance(previous, str) or not _SEAL.fullmatch(previous)):
        return False
    return hmac.compare_digest(seal(offer=offer, internal=internal, previous=previous), sha256)


def digest(*, payload: Payload) -> str:
    """Return the SHA-256 of one payload in hex: what an acceptance is bound to."""
    return hashlib.sha256(_bytes("payload", payload)).hexdigest()


def _bytes(name: str, payload: Payload) -> bytes:
    if isinstance(payload, bytes | bytearray | memoryview):
        return bytes(payload)
    if isinstance(payload, Mapping):
        return canonical(content=payload)
    raise ValueError(f"{name} must be bytes or a mapping, got {type(payload).__name__}")


def _plain(value: Any, where: str, depth: int) -> Any:
    if depth > _DEEPEST:
        raise ValueError(f"{where} is nested deeper than {_DEEPEST}")
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, str):
        return _text(value, where)
    if isinstance(value, int | Decimal):
        return _number(value, where)
    if isinstance(value, list | tuple):
        return [_plain(each, f"{where}[{index}]", depth + 1) for index, each in enumerate(value)]
    if isinstance(value, Mapping):
        keys = {_key(key, where): key for key in value}
        # RFC 8785, section 3.2.3: by UTF-16 code units, which differs from code points above U+FFFF.
        ordered = sorted(keys, key=lambda key: key.encode("utf-16-be"))
        return {key: _plain(value[keys[key]], f"{where}.{key}", depth + 1) for key in ordered}
    raise ValueError(f"{where} must not be a {type(value).__name__}: {value!r}")


def _number(value: int | Decimal, where: str) -> int | str:
    if isinstance(value, int):
        if abs(value) > _LARGEST_INT:
            raise ValueError(f"{where} is an int beyond 2^53 - 1: write it as text")
        return int(value)
    if not value.is_finite():
        raise ValueError(f"{where} must be a finite number, got {value!r}")
    return format(value, "f")


def _key(key: Any, where: str) -> str:
    if not isinstance(key, str):
        raise ValueError(f"{where} must have text keys, got {key!r}")
    return _text(key, where)


def _text(value: str, where: str) -> str:
    try:
        value.encode("utf-8")
    except UnicodeEncodeError as error:
        raise ValueError(f"{where} holds half a surrogate pair, which is no Unicode") from error
    return str(value)
