"""The table of the kinds of material."""

from __future__ import annotations

from webapp.costing.catalogue.kinds import KINDS, Kind


def test_what_is_typed_in_the_shops_currency_is_marked_as_money() -> None:
    """Starters that come without prices leave out what is so marked, and no amount may come along unseen."""
    marked = {(kind, one.name): one.money for kind, row in KINDS.items() for one in row.properties}
    said = {(kind, one.name): "shop's currency" in one.hint for kind, row in KINDS.items() for one in row.properties}
    assert marked == said
    assert any(said.values())


def test_an_offer_by_the_pack_says_how_many_the_pack_holds() -> None:
    """A box without its number tells no price of a screw."""
    for kind in (Kind.FASTENER, Kind.PIECE):
        assert "count" in {one.name for one in KINDS[kind].needed_sizes}
