"""Slips of the finger: how far one word is from another, and which known words are nearest."""

from collections.abc import Iterable


def is_plain(word: str) -> bool:
    """Whether a word is one that people mistype, rather than a code or a figure."""
    return len(word) >= 4 and word.isalpha()


def nearest(word: str, known_words: Iterable[str]) -> tuple[str, ...]:
    """The known words within one slip, two from eight letters on; nearest first, then the shortest.

    A word that is still being typed is compared with as much of the known word.
    """
    most = 1 if len(word) < 8 else 2
    near = []
    for known in known_words:
        for candidate in {known, known[: len(word)]}:
            if abs(len(candidate) - len(word)) <= most and _begins_alike(word, candidate):
                slips = distance(word, candidate, most=most)
                if slips <= most:
                    near.append((slips, candidate != known, len(known), known))
    return tuple(dict.fromkeys(known for *_rest, known in sorted(near)))


def _begins_alike(word: str, candidate: str) -> bool:
    """Whether the beginnings are within one slip; spares the costly comparison of all the others."""
    return word[0] in candidate[:2] or word[1] in candidate[:2]


def distance(one: str, other: str, *, most: int) -> int:
    """Slips between two words: a letter more, less, changed, or two swapped. Stops past `most`.

    >>> distance("pendnat", "pendant", most=2), distance("downlihgts", "lamp", most=1)
    (1, 2)
    """
    before: list[int] = []
    last = list(range(len(other) + 1))
    for i, a in enumerate(one, start=1):
        row = [i]
        for j, b in enumerate(other, start=1):
            slips = min(last[j] + 1, row[j - 1] + 1, last[j - 1] + (a != b))
            if i > 1 and j > 1 and a == other[j - 2] and one[i - 2] == b:
                slips = min(slips, before[j - 2] + 1)
            row.append(slips)
        if min(row) > most and min(last) >= most:  # a swap reaches back two rows
            return most + 1
        before, last = last, row
    return last[-1]
