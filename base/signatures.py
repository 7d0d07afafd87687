"""What kind of file some bytes are, told from how they begin; a name or a header proves nothing."""

_BEGINNINGS: tuple[tuple[str, bytes], ...] = (
    ("image/png", b"\x89PNG\r\n\x1a\n"),
    ("image/jpeg", b"\xff\xd8\xff"),
    ("application/pdf", b"%PDF-"),
    ("application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", b"PK\x03\x04"),
)
_TEXT = frozenset({"text/plain", "text/csv", "application/json"})


def media_type(content: bytes) -> str:
    """The media type that the bytes begin as, or '' where they begin as none that is known."""
    for kind, beginning in _BEGINNINGS:
        if content.startswith(beginning):
            return kind
    if content[:4] == b"RIFF" and content[8:12] == b"WEBP":
        return "image/webp"
    return ""


def begins_as(content: bytes, kind: str) -> bool:
    """Whether the bytes may be of that media type. Text has no beginning, but holds no zero byte."""
    if kind in _TEXT:
        return b"\0" not in content and media_type(content) == ""
    return media_type(content) == kind
