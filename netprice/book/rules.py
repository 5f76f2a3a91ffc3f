"""All rules of the book over all its files: each finds its mistakes in one file, knowing what is around it."""

from __future__ import annotations

from netprice.book.around import Around, Names, lines_of, names_in
from netprice.book.check_card import check_card
from netprice.book.check_channel import check_channels
from netprice.book.check_product import check_product
from netprice.book.check_profile import check_profile
from netprice.book.check_selling import check_selling
from netprice.book.check_shop import check_shop
from netprice.book.pages import Pages, currency_of


def check(pages: Pages) -> None:
    """Find every mistake that the single values do not show, and keep it in its page."""
    around = _around(pages)
    for page in pages.by_kind["fee-profile"].values():
        if page.built.model is not None:
            page.find(check_profile(page.built.model))
    for page in pages.by_kind["rate-card"].values():
        if page.built.model is not None:
            page.find(check_card(page.built.model))
    for page in pages.by_kind["product"].values():
        if page.built.model is not None:
            page.find(check_product(page.built.model, page.table or {}, around))
            page.find(check_selling(page.built.model, around))
    if pages.shop is not None and pages.shop.built.model is not None:
        pages.shop.find(check_shop(pages.shop.built.model, around))
        pages.shop.find(check_channels(pages.shop.built.model, around))


def _around(pages: Pages) -> Around:
    table = pages.shop.table if pages.shop else None
    profiles = pages.by_kind["fee-profile"]
    return Around(
        shop=pages.shop.built.model if pages.shop else None,
        currency=currency_of(table or {}) or None,
        labour=names_in(table, "labour"),
        machines=names_in(table, "machines"),
        stock=names_in(table, "stock"),
        # A shop without any channels is told so; its products need not be told as well.
        channels=names_in(table, "channels") or None,
        profiles=pages.models("fee-profile"),
        currencies={name: code for name, page in profiles.items() if (code := currency_of(page.table or {}))},
        cards=pages.models("rate-card"),
        shipped=pages.shipped,
        lines=_all_lines(pages),
    )


def _all_lines(pages: Pages) -> Names:
    lines: set[str] = set()
    for page in pages.by_kind["product"].values():
        in_product = lines_of(page.table)
        if in_product is None:
            return None
        lines |= in_product
    return frozenset(lines) if pages.by_kind["product"] else None
