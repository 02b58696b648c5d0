"""How near two words are: for names and words that were meant but mistyped."""

from __future__ import annotations


def one_slip(a: str, b: str) -> bool:
    """True when one letter added, left out, changed or swapped with its neighbour makes ``a`` into ``b``.

    >>> one_slip("TANYS", "TANSY"), one_slip("wispered", "whispered"), one_slip("BRAM", "BRAM")
    (True, True, False)
    """
    if a == b or abs(len(a) - len(b)) > 1 or any(c.isdigit() for c in a + b):
        return False
    start = 0
    while start < min(len(a), len(b)) and a[start] == b[start]:
        start += 1
    rest_a, rest_b = a[start:], b[start:]
    return (
        rest_a[1:] == rest_b[1:]
        or rest_a[1:] == rest_b
        or rest_a == rest_b[1:]
        or (rest_a[1::-1] == rest_b[:2] and len(rest_a) > 1 and rest_a[2:] == rest_b[2:])
    )
