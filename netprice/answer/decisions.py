"""The decisions beyond a price, as methods of an open shop: one here for each question's own file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Unpack

from netprice.answer.opened import Opened, Wishes, pairs
from netprice.answer.spoken import Number, amount_said, read_day, share_said
from netprice.errors import QuestionError

if TYPE_CHECKING:
    from fractions import Fraction

    from netprice.answer.ask import PriceAsk
    from netprice.answer.bundle import BundleAnswer
    from netprice.answer.capacity import Capacity
    from netprice.answer.compare import Comparison
    from netprice.answer.discount import DiscountAnswer
    from netprice.answer.giveaway import Giveaway, GiveawayWishes
    from netprice.answer.ladder import Ladder
    from netprice.answer.refund import Refund, RefundWishes
    from netprice.answer.reprice import Repricing
    from netprice.answer.risk import Risk
    from netprice.answer.sensitivity import Sensitivity
    from netprice.answer.unknown import Unknown
    from netprice.book.shop import Discount


class Decisions(Opened):
    """What an open shop can be asked besides the price of a product on a channel."""

    __slots__ = ()

    def compare(
        self,
        product: str,
        *,
        channels: Sequence[str] = (),
        at: Number | None = None,
        monthly_profit: Number | None = None,
        **wishes: Unpack[Wishes],
    ) -> Comparison:
        """Return the selling channels side by side: all on which the product is sold, unless some are named.

        `at` is one price for all of them, in each channel's currency; `monthly_profit` is what is wanted a month, in
        the shop's currency.
        """
        from netprice.answer.compare import compare, contender

        asked = [self.asked(product, name, wishes) for _, name in pairs(self, [product], list(dict.fromkeys(channels)))]
        return compare(
            [contender(self.book, each) for each in asked],
            currency=self.book.shop.currency,
            common=None if at is None else amount_said(at, "the price"),
            monthly_profit=None if monthly_profit is None else amount_said(monthly_profit, "the profit a month"),
        )

    def unknown(
        self,
        product: str,
        *,
        channel: str,
        name: str,
        price: Number | None = None,
        step: str | None = None,
        between: tuple[str, str] | None = None,
        **wishes: Unpack[Wishes],
    ) -> Unknown:
        """Return the greatest or smallest value of an input at which a price still leaves the target.

        `name` is the input's path in the files ("labour.throwing.time") or "discount"; `step` and the two ends
        `between` which values are looked at are amounts in its unit. `price` is the one in use, else the one that solve
        gives.
        """
        from netprice.answer.inputs import find_input
        from netprice.answer.unknown import unknown

        asked = self.asked(product, channel, wishes)
        one = find_input(self.book, asked.ask, name)
        low, high = (one.unit.read(end, one.name) for end in between) if between else (None, None)
        return unknown(
            self.book,
            asked,
            self.listed(asked, price),
            one,
            step=None if step is None else one.unit.read(step, "the step"),
            low=low,
            high=high,
        )

    def sensitivity(
        self, product: str, *, channel: str, price: Number | None = None, by: Number = "10 %", **wishes: Unpack[Wishes]
    ) -> Sensitivity:
        """Return what each input moves when it is `by` less or more: the profit at a price, and the price solved for.

        `price` is the one in use, else the one that solve gives. The inputs that move the profit most come first.
        """
        from netprice.answer.sensitivity import sensitivity

        asked = self.asked(product, channel, wishes)
        return sensitivity(self.book, asked, self.listed(asked, price), share_said(by, "the change"))

    def risk(
        self,
        product: str,
        *,
        channel: str,
        price: Number | None = None,
        ranges: Mapping[str, str] | None = None,
        chance: Number = "90 %",
        draws: int = 8192,
        seed: int = 1,
        **wishes: Unpack[Wishes],
    ) -> Risk:
        """Return how far a price can be relied on while inputs are in doubt, and the price that holds with a chance.

        In doubt are inputs that the files have as ranges, and `ranges`: {"labour.throwing.time": "35..50 min"}. The
        same `seed` gives the same answer. `price` is the one in use, else the one that solve gives.
        """
        from netprice.answer.draws import in_doubt
        from netprice.answer.risk import Draw, risk

        asked = self.asked(product, channel, wishes)
        doubted = in_doubt(self.book, asked.ask, ranges)
        book, ask = doubted.at_means(self.book, asked.ask)
        at = replace(self, book=book).listed(asked._replace(ask=ask), price)
        return risk(self.book, asked, at, doubted, Draw(share_said(chance, "the chance"), draws, seed))

    def listed(self, asked: PriceAsk, price: Number | None) -> Fraction | int:
        """Return the list price to answer at, in minor units: the one asked about, in use, or that solve gives."""
        from netprice.answer.at_price import at_price

        in_use = self.in_use(asked.ask) if price is None else None
        return at_price(self.book, asked, price).price if in_use is None else in_use

    def capacity(
        self,
        *products: str,
        channels: Sequence[str] = (),
        hours: Mapping[str, Number] | None = None,
        **wishes: Unpack[Wishes],
    ) -> Capacity:
        """Return the mix of products and channels that leaves the most from the hours of a month.

        All products and all channels on which they are sold take part, unless some are named. `hours` says other hours
        a month than the shop states: {"kiln": "130 hours"}.
        """
        from netprice.answer.capacity import capacity
        from netprice.answer.offers import Offered

        wanted = pairs(self, products or self.products, channels)
        asked = dict.fromkeys(self.asked(product, channel, wishes) for product, channel in wanted)
        sold = [each for each in asked if products or each.ask.channel in self.sold_on(each.ask.product)]
        return capacity(self.book, [Offered(each, self.in_use(each.ask)) for each in sold], hours)

    def reprice(
        self,
        products: Sequence[str] = (),
        *,
        channels: Sequence[str] = (),
        ahead: int = 180,
        exact: bool = False,
        **wishes: Unpack[Wishes],
    ) -> Repricing:
        """Return how the list prices in use stand: of all products on all channels, unless some are named.

        Fees that change within `ahead` days are held against them too. New prices are never lower than those in use,
        unless `exact`.
        """
        from netprice.answer.reprice import reprice

        if not 0 <= ahead <= 36_500:
            raise QuestionError(f"{ahead} days ahead; ask for 0 to 36500")
        wishes["on"] = wishes.get("on") or read_day(None)
        asked = [
            self.asked(product, channel, wishes)
            for product in dict.fromkeys(products or self.products)
            for channel in dict.fromkeys(channels or self.channels)
        ]
        asked = [each for each in asked if each.ask.channel in self.sold_on(each.ask.product)]
        if not asked:
            raise QuestionError("nothing to hold against costs: no product is sold there")
        return reprice(self.book, asked, ahead=ahead, exact=exact)

    def discount(
        self,
        product: str,
        *,
        channel: str,
        price: Number | None = None,
        step: Number = "0.1 %",
        off: Discount | str | None = None,
        share: Number = "100 %",
        **wishes: Unpack[Wishes],
    ) -> DiscountAnswer:
        """Return how far a list price can come down, and what a stated discount on a share of the orders takes.

        `price` is in the channel's currency, by default the one in use, else the lowest that meets the target. `step`
        is that of the greatest percent. `off` ("20 %" or "5.00") comes after all other discounts.
        """
        from netprice.answer.discount import discount, price_said, wanted_said

        asked = self.asked(product, channel, wishes)
        listed = price_said(self.book, asked, price, self.in_use(asked.ask))
        return discount(self.book, asked, listed, wanted_said(step, off, share))

    def price_ladder(self, product: str, *, channel: str, most: int, **wishes: Unpack[Wishes]) -> Ladder:
        """Return the unit price that meets the target in orders of 1, 2, 3 … `most` units."""
        from netprice.answer.ladder import ladder

        return ladder(self.book, self.asked(product, channel, wishes), most)

    def bundle(
        self,
        products: Mapping[str, int],
        *,
        channel: str,
        packed_as: str | None = None,
        step: Number = "0.1 %",
        off: Discount | str | None = None,
        **wishes: Unpack[Wishes],
    ) -> BundleAnswer:
        """Return how far the price of several products in one order can come down: {"mug": 2, "bud-vase": 1}.

        `packed_as` is the one box they go in ("product.packing", or a box on the shelf), by default each product's own.
        """
        from netprice.answer.bundle import bundle, part_of
        from netprice.answer.discount import wanted_said

        if wishes.get("quantity") is not None:
            raise QuestionError("a bundle has no quantity of its own; say how many of each product are in it")
        parts = []
        for product, units in products.items():
            asked = self.asked(product, channel, {**wishes, "quantity": units})
            parts.append(part_of(self.book, asked, self.in_use(asked.ask)))
        return bundle(self.book, parts, wanted_said(step, off, "100 %"), packed_as)

    def giveaway(self, product: str, *, channel: str, **wishes: Unpack[GiveawayWishes]) -> Giveaway:
        """Return what giving some units away costs, how many extra sales pay for it, and with what chance they come."""
        from netprice.answer.giveaway import giveaway

        return giveaway(self.book, self.asked(product, channel, wishes), wishes)

    def refund(self, product: str, *, channel: str, **wishes: Unpack[RefundWishes]) -> Refund:
        """Return what a refund costs, how many sales pay for it, and the greatest return rate that the price bears."""
        from netprice.answer.refund import refund

        return refund(self.book, self.asked(product, channel, wishes), wishes)
