"""`netprice discount`: how far a list price can come down, a sale, a price ladder, and a bundle."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NamedTuple, Optional

import typer

from netprice.cli.options import (
    ChannelsOption,
    DayOption,
    JsonOption,
    PriceOption,
    QuantityOption,
    ShopOption,
    TargetOption,
    WorstOption,
    case_of,
    columns,
)

if TYPE_CHECKING:
    from netprice.answer.opened import Wishes
    from netprice.answer.shop import OpenShop
    from netprice.book.shop import Discount


def discount(  # noqa: PLR0913, PLR0917  # a command has as many parameters as options
    products: Annotated[
        list[str],
        typer.Argument(metavar="PRODUCT", help="Products, as their files are called; in a bundle also mug=2."),
    ],
    shop: ShopOption = Path(),
    channel: ChannelsOption = None,
    price: PriceOption = None,
    target: TargetOption = None,
    worst: WorstOption = False,  # an option of a command line
    quantity: QuantityOption = None,
    step: Annotated[str, typer.Option("--step", metavar="PERCENT", help="The step of the discount.")] = "0.1 %",
    off: Annotated[
        Optional[str],  # noqa: UP045
        typer.Option("--off", metavar="OFF", help="A coupon or a sale to look at: '20 %', or an amount such as 5.00."),
    ] = None,
    share: Annotated[
        str, typer.Option("--share", metavar="SHARE", help="The share of the orders of a month that it is on.")
    ] = "100 %",
    storefront_pays: Annotated[bool, typer.Option("--storefront-pays", help="The storefront pays for --off.")] = False,
    ladder: Annotated[
        Optional[int],  # noqa: UP045
        typer.Option("--ladder", metavar="N", help="Instead: a price for each quantity from 1 to N units an order."),
    ] = None,
    bundle: Annotated[bool, typer.Option("--bundle", help="All products in one order.")] = False,
    packed_as: Annotated[
        Optional[str],  # noqa: UP045
        typer.Option("--packed-as", metavar="BOX", help="The one box of a bundle: PRODUCT.PACKING or a shop's box."),
    ] = None,
    on: DayOption = None,
    brief: Annotated[bool, typer.Option("--brief", help="Of several answers only the overview.")] = False,
    as_json: JsonOption = False,
) -> None:
    """Find the greatest discount that still leaves your target, and how many more orders pay for a sale."""
    from netprice.answer.shop import open_shop
    from netprice.answer.spoken import read_day
    from netprice.show.json import document

    _fit_together(bundle=bundle, ladder=ladder, price=price, quantity=quantity, off=off, share=share,
                  packed_as=packed_as, storefront_pays=storefront_pays)  # fmt: skip
    wishes: Wishes = {"target": target, "case": case_of(worst), "quantity": quantity, "on": read_day(on)}
    asked = _Asked(open_shop(shop), products, tuple(channel or ()), wishes, step, _offered(off, storefront_pays))
    if bundle:
        answered = _bundle(asked, packed_as)
    elif ladder is not None:
        answered = _ladder(asked, ladder)
    else:
        answered = _discount(asked, price, share, brief=brief)
    if as_json:
        typer.echo(document("discount", on=read_day(on).isoformat(), results=answered.results))
    else:
        typer.echo(answered.text)
    if not answered.met:
        raise typer.Exit(1)


class _Asked(NamedTuple):
    """What is asked in every way of asking."""

    shop: OpenShop
    products: list[str]
    channels: tuple[str, ...]
    wishes: Wishes
    step: str
    off: Discount | None


class _Answered(NamedTuple):
    """The answer both ways, and whether the target is met."""

    results: list[dict[str, Any]]
    text: str
    met: bool


def _discount(asked: _Asked, price: str | None, share: str, *, brief: bool) -> _Answered:
    from netprice.answer.opened import pairs
    from netprice.show.discount import CAUTION, discounts_text
    from netprice.show.discount_json import discount_json
    from netprice.show.text import wrapped

    answers = [
        asked.shop.discount(
            product, channel=name, price=price, step=asked.step, off=asked.off, share=share, **asked.wishes
        )
        for product, name in pairs(asked.shop, asked.products, asked.channels)
    ]
    text = discounts_text(answers, width=columns(), brief=brief)
    return _Answered(
        [discount_json(each) for each in answers],
        f"{text}\n\n{wrapped(CAUTION, columns())}",
        all(each.possible for each in answers),
    )


def _ladder(asked: _Asked, most: int) -> _Answered:
    from netprice.answer.opened import pairs
    from netprice.show.ladder import ladder_json, ladder_text

    answers = [
        asked.shop.price_ladder(product, channel=name, most=most, **asked.wishes)
        for product, name in pairs(asked.shop, asked.products, asked.channels)
    ]
    text = "\n\n".join(ladder_text(each, width=columns()) for each in answers)
    return _Answered([ladder_json(each) for each in answers], text, all(each.complete for each in answers))


def _bundle(asked: _Asked, packed_as: str | None) -> _Answered:
    from netprice.show.bundle import bundle_json, bundle_text
    from netprice.show.discount import CAUTION
    from netprice.show.text import wrapped

    counts: dict[str, int] = {}
    for said in asked.products:
        product, units = _counted(asked.shop, said)
        counts[product] = counts.get(product, 0) + units
    answers = [
        asked.shop.bundle(counts, channel=name, packed_as=packed_as, step=asked.step, off=asked.off, **asked.wishes)
        for name in asked.channels or _sold_together(asked.shop, counts)
    ]
    text = "\n\n".join((*(bundle_text(each, width=columns()) for each in answers), wrapped(CAUTION, columns())))
    return _Answered([bundle_json(each) for each in answers], text, all(each.discount.possible for each in answers))


def _counted(shop: OpenShop, said: str) -> tuple[str, int]:
    """Return the product and the number of "mug=2"; a product without a number is one."""
    from netprice.errors import QuestionError

    name, mark, count = said.rpartition("=")
    if not mark or said in shop.products:
        return shop.product(said), 1
    if not (count.isascii() and count.isdigit() and 1 <= int(count[:5]) <= 1000):
        raise QuestionError(f"no number of units (got {said[:60]!r}); write PRODUCT=2")
    return shop.product(name), int(count)


def _sold_together(shop: OpenShop, products: Iterable[str]) -> list[str]:
    """Return the channels on which all of the products are sold."""
    from netprice.errors import QuestionError

    sold = [name for name in shop.channels if all(name in shop.sold_on(product) for product in products)]
    if not sold:
        raise QuestionError("no channel sells all of these products; name one with --channel")
    return sold


def _offered(off: str | None, storefront_pays: bool) -> Discount | None:
    from dataclasses import replace

    from netprice.answer.spoken import read_discount

    if off is None:
        return None
    return replace(read_discount(off), paid_by="storefront" if storefront_pays else "shop")


def _fit_together(*, bundle: bool, ladder: int | None, **given: object) -> None:
    """Raise an error for options of which one makes the other meaningless."""
    from netprice.errors import QuestionError

    rules = {
        "--ladder": (ladder is not None, ("price", "quantity", "off", "packed_as")),
        "--bundle": (bundle, ("price", "quantity")),
    }
    for option, (asked, others) in rules.items():
        for other in others:
            if asked and given[other] is not None:
                raise QuestionError(f"--{other.replace('_', '-')} does not go with {option}; leave one of them out")
    if bundle and ladder is not None:
        raise QuestionError("--ladder does not go with --bundle; ask for them one after the other")
    if bundle and given["share"] != "100 %":
        raise QuestionError("--share does not go with --bundle; how many orders are bundles nobody has said")
    if given["packed_as"] is not None and not bundle:
        raise QuestionError("--packed-as names the box of a bundle; add --bundle")
    if given["storefront_pays"] and given["off"] is None:
        raise QuestionError("--storefront-pays says who pays for a discount; give one with --off")
