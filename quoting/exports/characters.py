"""Text that other programs can take."""

import re

# What XML 1.0 cannot carry, not even escaped (section 2.2, production [2] Char).
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def carried(text: str) -> str:
    """Return the text with what XML cannot carry replaced by U+FFFD, so that it shows.

    >>> carried("a\\x00b")
    'a\\ufffdb'
    """
    return _NOT_XML.sub("\ufffd", text)
