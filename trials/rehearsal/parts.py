"""Thousands of trials part by part: in threads, in order, and the same on any number of processors."""

from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import Final, TypeVar

# So many pairs are drawn at once, which keeps memory at some 30 MB a thread. A part of what a seed means: trials are
# dealt to parts by it, and each part has a seed of its own.
PAIRS_AT_ONCE: Final = 20_000
THREADS: Final = 4
Done = TypeVar("Done")


def part_size(pairs: int) -> int:
    """How many trials of so many pairs are drawn at once."""
    return max(1, PAIRS_AT_ONCE // pairs)


def part_sizes(times: int, pairs: int) -> list[int]:
    """How many trials each part holds; the last may be smaller.

    >>> part_sizes(6_000, pairs=8)
    [2500, 2500, 1000]
    """
    size = part_size(pairs)
    return [min(size, times - begun) for begun in range(0, times, size)]


def in_parts(
    work: Callable[[int, int], Done], times: int, pairs: int, on_progress: Callable[[int, int], None] | None
) -> Iterator[Done]:
    """Do the work of every part, given its number from 0 and its size, in threads; the answers come in order.

    numpy lets go of the interpreter while it draws. `on_progress` is called with (trials done, `times`) after each.
    """
    sizes = part_sizes(times, pairs)
    done = 0
    with ThreadPoolExecutor(max_workers=min(THREADS, len(sizes))) as pool:
        for size, answer in zip(sizes, pool.map(work, range(len(sizes)), sizes), strict=True):
            done += size
            if on_progress is not None:
                on_progress(done, times)
            yield answer
