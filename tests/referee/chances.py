"""The chance that at least so many extra sales happen."""

from fractions import Fraction
from math import comb

from .exact import ONE, ZERO, round_to_integer

PLACES = 20
BEYOND = 10 ** (3 * PLACES)  # what is so much smaller than the rest no longer counts


def poisson_at_least(count: int, expected: Fraction) -> Fraction:
    """P(N >= count) for a Poisson number of sales, off by far less than the printed places."""
    fewer, term = ZERO, ONE
    for sales in range(count):
        fewer += term
        term *= expected / (sales + 1)
        if sales > expected and term * BEYOND < fewer:
            break
    return ONE - fewer * _exp_of_minus(expected)


def binomial_at_least(count: int, people: int, share: Fraction) -> Fraction:
    """P(N >= count) where each of the people reached buys with the same chance; exact."""
    # The shorter of both tails is added up.
    if count > people / 2:
        return sum((_binomial(sales, people, share) for sales in range(count, people + 1)), ZERO)
    return ONE - sum((_binomial(sales, people, share) for sales in range(count)), ZERO)


def chance_text(chance: Fraction) -> str:
    """A chance rounded to the printed places."""
    units = round_to_integer(chance.numerator * 10**PLACES, chance.denominator, "half_up")
    return f"{units // 10**PLACES}.{units % 10**PLACES:0{PLACES}d}"


def _binomial(sales: int, people: int, share: Fraction) -> Fraction:
    return comb(people, sales) * share**sales * (1 - share) ** (people - sales)


def _exp_of_minus(value: Fraction) -> Fraction:
    """e to the minus value: the power series of e to the value, until its terms no longer count, turned over."""
    total = term = ONE
    power = 0
    while term * BEYOND > total:
        power += 1
        term *= value / power
        total += term
    return 1 / total
