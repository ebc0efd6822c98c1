"""A shop follows the figures of the edition it has taken; a later edition moves none of them."""

from __future__ import annotations

from webapp.costing.estimate.snapshot import read_rates, write_rates
from webapp.costing.settings.operations import EARLIER_STEPS, OPERATIONS
from webapp.costing.settings.rates import EDITION, FIRST_EDITION
from webapp.costing.settings.table import SETTINGS, default_rates


def test_an_earlier_edition_starts_from_what_it_had() -> None:
    first = default_rates(FIRST_EDITION)
    for setting in SETTINGS:
        expected = setting.earlier[0][1] if setting.earlier else setting.default
        assert first[setting.name] == expected
    for last, step, _ in EARLIER_STEPS:
        if last == FIRST_EDITION:
            assert first.operations[step.name] == step


def test_what_an_edition_changed_says_since_when_and_why() -> None:
    for setting in SETTINGS:
        editions = [last for last, _ in setting.earlier]
        assert editions == sorted(set(editions))
        assert all(FIRST_EDITION <= last < EDITION for last in editions)
        if setting.earlier:
            assert setting.because
    for last, step, because in EARLIER_STEPS:
        assert last < EDITION
        assert step.name in {one.name for one in OPERATIONS}
        assert because


def test_a_set_kept_before_editions_reads_with_the_first() -> None:
    document = write_rates(default_rates(FIRST_EDITION))
    del document["edition"]
    missing = "extra_stop"
    values = dict(document["values"])  # type: ignore[call-overload]
    del values[missing]
    found = read_rates({**document, "values": values})
    assert found == default_rates(FIRST_EDITION)
    assert read_rates(write_rates(default_rates())) == default_rates()
