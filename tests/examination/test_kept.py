"""The kept page is the map of today with the numbers of the examination in their places."""

from tests.examination.kept import ENTRIES, FULL, PAGE, RENEW, key_of, page, read_section
from trials.report.pitfalls import pitfall_page

TEXT = PAGE.read_text(encoding="utf-8")


def test_the_page_is_the_map_and_the_examination() -> None:
    """Word for word; whoever changes the map or the faults renews it."""
    assert TEXT.startswith(pitfall_page()), RENEW
    results = read_section(TEXT)
    assert list(results) == [key_of(one) for one in ENTRIES], RENEW
    assert page(results) == TEXT, RENEW


def test_every_cell_holds_counts_of_whole_trials() -> None:
    """Four ends that are no more than all trials."""
    for result in read_section(TEXT).values():
        for row in result.rows:
            assert all(len(cell) == 4 and 0 <= sum(cell) <= FULL for cell in row.cells)
