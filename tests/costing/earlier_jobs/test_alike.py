"""Which earlier jobs are like a new one, as an estimator would pick them from the book by hand."""

from __future__ import annotations

from datetime import date

from webapp.costing.earlier_jobs.alike import known_by, most_alike

BOOK = (
    ("Glaze bench", "1800 x 750", date(2023, 3, 1)), ("Glaze bench", "1200 x 600", date(2024, 5, 1)),
    ("Glaze bench, low", "1800 x 700", date(2025, 1, 1)), ("Workbench for the school", "2000 x 800", date(2025, 6, 1)),
    ("Tool cabinet", "900 x 450", date(2025, 7, 1)), ("Ware cart on castors", "", date(2022, 1, 1)),
    ("Benches, set of three", "", None), ("Drying rack", "1800 x 600", date(2024, 1, 1)),
)  # fmt: skip
KNOWN = [known_by(name, (name,), (size,), day, "metric") for name, size, day in BOOK]


def like(*texts: str, sizes: tuple[str, ...] = (), most: int = 3) -> tuple[str, ...]:
    return most_alike(known_by(None, texts, sizes, None, "metric"), KNOWN, most)


def test_the_rarer_word_counts_more_and_the_nearer_size_comes_first() -> None:
    new = known_by(None, ("Glaze bench for the kiln room",), ("1750 mm", "740 mm"), None, "metric")
    placed = [known_by(at, (name,), (size,), day, "metric") for at, (name, size, day) in enumerate(BOOK)]
    found = most_alike(new, placed, 4)
    assert found[:3] == (0, 2, 1)
    assert found[3] == 6, "a bench of unknown size shares the common word alone"


def test_one_and_several_are_the_same_and_strangers_are_not_alike() -> None:
    assert like("Carts") == ("Ware cart on castors",)
    assert like("Racks for drying", most=1) == ("Drying rack",)
    assert like("Picture frame") == ()
    assert like("and with the") == ()


def test_a_size_in_inches_is_held_against_one_in_millimetres() -> None:
    found = like("Glaze bench", sizes=("6 ft", "30 in"), most=1)
    assert found == ("Glaze bench",)
    new = known_by(None, ("Glaze bench 72 x 30 in",), (), None, "inch")
    assert new.sizes == (1829, 762)


def test_whose_it_is_says_nothing_of_what_it_is() -> None:
    benches = [known_by(f"bench {at}", ("Workbench",), (), None, "metric", "Oak Lane School") for at in range(60)]
    gate = known_by("gate", ("Garden gate for Miller",), (), None, "metric", "Miller")
    new = known_by(None, ("Workbench for Miller",), (), None, "metric", "Miller's Yard")
    assert most_alike(new, [gate, *benches], 3) == ("bench 0", "bench 1", "bench 2")
    unnamed = known_by("gate", ("Garden gate for Miller",), (), None, "metric")
    assert most_alike(new, [unnamed, *benches], 3) == ("bench 0", "bench 1", "bench 2")


def test_what_is_more_than_twice_as_large_is_another_thing() -> None:
    assert like("Glaze bench", sizes=("3700 mm",)) == ("Benches, set of three",), "of that one no size is known"
    assert like("Drying rack", sizes=("3600 mm",), most=1) == ("Drying rack",), "just twice as long"
    assert like("Tool cabinet", sizes=("440 mm",)) == ()
