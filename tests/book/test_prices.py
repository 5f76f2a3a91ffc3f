"""Which prices are left, against trying every one of them."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from netprice.book.check_prices import Layer, PriceRules, first_price
from netprice.book.product import Prices
from netprice.book.readers import Ending

endings = st.sampled_from(["00", "05", "50", "95", "99", "9.00", "9.95", "80", "5", ".5", ".00", ".95", ".955"])


def ending(text: str) -> Ending:
    return Ending(Fraction(text if text[0] != "." else f"0{text}"), 10 ** len(text.partition(".")[0]))


def has_ending(price: int, text: str) -> bool:
    """Whether a price in cents ends so, as its digits are read."""
    whole, _, cents = text.partition(".")
    shown_whole, shown_cents = f"{price // 100:06d}", f"{price % 100:02d}"
    return shown_whole.endswith(whole) and shown_cents.ljust(6, "0") == cents.ljust(6, "0")


@given(endings, st.integers(1, 700), st.integers(1, 15_000))
def test_the_first_price_is_the_first_that_trying_finds(text: str, step: int, least: int) -> None:
    # 10,000 cents repeat every ending, and step × 10,000 every meeting of step and ending.
    tried = (
        price for price in range(-(-least // step) * step, least + step * 10_000 + 1, step) if has_ending(price, text)
    )

    assert first_price(ending(text), step, least, 100) == next(tried, None)


prices = st.builds(
    Prices,
    step=st.none() | st.integers(0, 300).map(lambda cents: Fraction(cents, 100)),
    lowest=st.none() | st.integers(0, 2_000).map(lambda cents: Fraction(cents, 100)),
    highest=st.none() | st.integers(0, 2_000).map(lambda cents: Fraction(cents, 100)),
)


@given(prices, st.none() | st.lists(endings, min_size=1, max_size=2))
def test_a_mistake_is_told_exactly_if_an_ending_has_no_price(stated: Prices, texts: list[str] | None) -> None:
    whole = Prices(
        step=stated.step,
        lowest=stated.lowest,
        highest=stated.highest,
        endings=None if texts is None else tuple(map(ending, texts)),
    )

    told = list(PriceRules((Layer(("prices",), whole, one_channel=True),), "USD").mistakes())

    assert bool(told) == (not _all_endings_are_left(whole, texts))


def _all_endings_are_left(stated: Prices, texts: list[str] | None) -> bool:
    if stated.step == 0 or (None not in (stated.lowest, stated.highest) and stated.lowest > stated.highest):  # type: ignore[operator]
        return False
    step = int((stated.step or Fraction(1, 100)) * 100)
    lowest = int((stated.lowest or 0) * 100)
    highest = int(stated.highest * 100) if stated.highest is not None else lowest + step * 10_000
    allowed = [price for price in range(step, highest + 1, step) if price >= lowest]
    return all(any(has_ending(price, text) for price in allowed) for text in texts or [""] if text) and (
        bool(allowed) or texts is not None
    )
