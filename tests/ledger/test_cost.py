"""The cost stack, line by line."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from netprice.book.product import Overhead, PaidPer
from netprice.book.shop import Labour, Machine, Stock
from netprice.ledger.cost import CostStack, cost_stack, labour_rate, machine_rate, packing_lines, share_of_one
from tests.build_book import batch, bought, labour, machine_time, material, packing, product, shop


def stack(**more: Any) -> CostStack:
    return cost_stack(product(**more), shop())


def unit_cost(**more: Any) -> Fraction:
    return stack(**more).total(per_order=False)


def overhead(**way: Any) -> dict[str, Overhead]:
    return {"rent": Overhead(**way)}


# A batch of 20 of which 90 % turn out good, 180 in the product's life, 9.00 to pay:
#   each unit started  9 / 0.9 = 10        a batch  9 / (20 × 0.9) = 0.50       once in a life  9 / 180 = 0.05
@pytest.mark.parametrize(
    ("per", "share"), [("unit", "10"), ("batch", "0.5"), ("product", "0.05"), ("good", "9"), ("order", "9")]
)
def test_an_amount_falls_on_one_good_unit_by_what_it_is_paid_for(per: PaidPer, share: str) -> None:
    made = product(
        batch=batch(units_started=20, good_share="9/10", lifetime_units=180), bought={"it": bought(9, per=per)}
    )
    (line,) = cost_stack(made, shop()).lines
    assert line.share == Fraction(share)
    assert line.share == 9 * share_of_one(made, per)
    assert cost_stack(made, shop()).total(per_order=per == "order") == Fraction(share)
    assert cost_stack(made, shop()).total(per_order=per != "order") == 0


def test_hours_are_shared_like_the_money() -> None:
    # 2 h of firing a batch and 0.9 h of work on each unit started: 2 / 18 and 0.9 / 0.9 h for a good unit.
    made = stack(
        batch=batch(units_started=20, good_share="9/10"),
        machine={"kiln": machine_time("2 hours", 3, per="batch")},
        labour={"throwing": labour("54 min", 20), "packing": labour("6 min", 20, per="order")},
    )
    assert made.machine_hours(per_order=False) == Fraction(1, 9)
    assert made.labour_hours(per_order=False) == 1
    assert made.labour_hours(per_order=True) == Fraction(1, 10)


def test_material_is_paid_by_quantity_with_getting_it_and_waste() -> None:
    # (31.50 + 3.50) / 12.5 kg × 0.95 kg × 1.08 = 2.80 × 0.95 × 1.08 = 2.8728, and it is not rounded
    clay = material("31.50 USD / 12.5 kg", "0.95 kg", getting_cost="3.50", waste="8 %")
    assert unit_cost(material={"clay": clay}) == Fraction("2.8728")


def test_waste_comes_on_top_of_the_good_share() -> None:
    clay = material("2.00 USD / kg", "1 kg", waste="10 %")
    assert unit_cost(batch=batch(good_share="1/2"), material={"clay": clay}) == Fraction("4.40")  # 2.20 / 0.5


def test_material_bought_in_pieces_is_shared_by_what_a_piece_yields() -> None:
    board = material("40", units_per_piece=6, getting_cost=8)  # (40 + 8) / 6
    assert unit_cost(material={"board": board}) == 8


# 50 sheets for 118.00 are 2.36 a sheet, and a sheet makes four.
def test_a_purchase_of_several_pieces_is_divided_by_them_first() -> None:
    assert unit_cost(material={"sheet": material("118 USD / 50 pieces", units_per_piece=4)}) == Fraction("0.59")


def test_material_comes_from_the_shelf_unless_the_line_says_otherwise() -> None:
    own = material("5 USD / kg", "2 kg")
    shelf = {"glaze": Stock(price=own.price, getting_cost=Fraction(1), waste=Fraction(1, 4))}  # type: ignore[arg-type]
    from netprice.book.product import MaterialLine

    by_name = product(material={"glaze": MaterialLine(quantity=own.quantity)})
    assert cost_stack(by_name, shop(stock=shelf)).total(per_order=False) == 15  # (5 + 1) × 2 × 1.25
    other = product(material={"coat": MaterialLine(stock="glaze", quantity=own.quantity, waste=Fraction(0))})
    assert cost_stack(other, shop(stock=shelf)).total(per_order=False) == 12  # (5 + 1) × 2


def test_a_built_up_machine_hour_is_the_sum_of_its_parts() -> None:
    kiln = Machine(
        purchase_price=Fraction(2_400),
        resale_value=Fraction(400),
        life=Fraction(5_000),  # 2,000 / 5,000 = 0.40
        power=Fraction("6.5"),
        load=Fraction("0.6"),
        tariff=Fraction("0.31"),  # 6.5 × 0.6 × 0.31 = 1.209
        consumables=Fraction("0.25"),
        upkeep=Fraction("0.141"),
        attended=Fraction(1, 4),
        attended_by="helper",  # 24 / 4 = 6
    )
    assert machine_rate(kiln, {"helper": Labour(rate=Fraction(24))}) == 8


def test_a_machine_without_a_load_runs_at_full_power() -> None:
    assert machine_rate(Machine(power=Fraction(2), tariff=Fraction("0.30")), {}) == Fraction("0.60")


def test_a_given_machine_rate_is_the_rate() -> None:
    assert machine_rate(Machine(rate=Fraction(25)), {}) == 25


def test_attended_machine_time_counts_as_labour_hours_too() -> None:
    kiln = Machine(upkeep=Fraction(1), attended=Fraction(1, 4))
    made = cost_stack(
        product(machine={"kiln": machine_time("2 hours")}, overhead=overhead(per_labour_hour=Fraction(10))),
        shop(machines={"kiln": kiln}, labour={"default": Labour(rate=Fraction(24))}),
    )
    assert made.labour_hours(per_order=False) == Fraction(1, 2)
    assert made.machine_hours(per_order=False) == 2
    assert made.overhead(per_order=False) == 5  # 0.5 h × 10
    assert made.total(per_order=False) == 2 * (1 + 6) + 5


def test_a_machine_line_finds_its_machine_by_its_own_name_or_another_or_the_default() -> None:
    machines = {"kiln": Machine(rate=Fraction(3)), "default": Machine(rate=Fraction(1))}
    lines = {
        "kiln": machine_time("1 hour"),
        "second firing": machine_time("1 hour", machine="kiln"),
        "wheel": machine_time("1 hour"),
    }
    made = cost_stack(product(machine=lines), shop(machines=machines))
    assert [line.share for line in made.lines] == [3, 3, 1]


def test_an_hour_of_work_is_paid_by_its_name_or_by_the_default() -> None:
    makers = shop(labour={"glazing": Labour(rate=Fraction(30)), "default": Labour(rate=Fraction(20))})
    assert [labour_rate(makers, name) for name in ("glazing", "sanding")] == [30, 20]
    lines = {"glazing": labour("30 min"), "sanding": labour("15 min", paid_as="glazing"), "rinsing": labour("1 hour")}
    assert [line.share for line in cost_stack(product(labour=lines), makers).lines] == [15, Fraction("7.5"), 20]


def test_scrap_lowers_the_cost_of_the_batch_by_what_it_brings() -> None:
    # (10 × 6.00 − 4.00) / (10 × 0.8) = 7.00
    made = {"batch": batch(units_started=10, good_share="4/5", scrap_value=4), "bought": {"blank": bought(6)}}
    assert unit_cost(**made) == 7


OF_CHOSEN = [
    (("labour",), "3"),  # 10 % of 20 + 10
    (("labour.glazing",), "2"),
    (("material",), "1.2"),
    (("material", "labour.glazing"), "3.2"),
    (("all",), "4.2"),
]


@pytest.mark.parametrize(("chosen", "share"), OF_CHOSEN)
def test_a_percent_overhead_is_taken_on_the_chosen_lines(chosen: tuple[str, ...], share: str) -> None:
    made = stack(
        material={"clay": material("12 USD / kg", "1 kg")},
        labour={"glazing": labour("1 hour", 20), "packing": labour("30 min", 20)},
        overhead=overhead(percent=Fraction(1, 10), of=chosen),
    )
    assert made.overhead(per_order=False) == Fraction(share)


def test_a_percent_overhead_is_never_taken_on_other_overhead() -> None:
    ways = {
        "rent": Overhead(per_month=Fraction(500), planned_units=Fraction(100)),
        "office": Overhead(percent=Fraction(1, 10), of=("all",)),
    }
    made = stack(bought={"blank": bought(40)}, overhead=ways)
    assert made.overhead(per_order=False) == 5 + 4


def test_overhead_on_what_is_paid_per_order_is_paid_per_order() -> None:
    box = packing("30 cm", "20 cm", "10 cm", cost=Fraction(3), time=Fraction(1, 2), paid_as="nobody")
    ways = {
        "office": Overhead(percent=Fraction(1, 10), of=("all",)),
        "light": Overhead(per_labour_hour=Fraction(8)),
    }
    made = product(bought={"blank": bought(40)}, overhead=ways, packing={"box": box})
    assert cost_stack(made, shop()).overhead(per_order=False) == 4
    lines = packing_lines(made, shop(), "box", box)
    assert sum(line.share for line in lines if line.kind == "overhead") == Fraction("0.30") + 4
    assert sum(line.share for line in lines) == Fraction("7.30")


def test_a_months_total_is_spread_over_the_planned_good_units() -> None:
    made = {"batch": batch(good_share="1/2"), "overhead": overhead(per_month=Fraction(100), planned_units=Fraction(30))}
    assert unit_cost(**made) == Fraction(10, 3)


def test_overhead_by_machine_hours_counts_the_hours_of_a_good_unit() -> None:
    made = stack(
        batch=batch(good_share="1/2"),
        machine={"kiln": machine_time("1 hour", 3)},
        overhead=overhead(per_machine_hour=Fraction(4)),
    )
    assert made.overhead(per_order=False) == 8  # 2 h of a good unit
    assert made.total(per_order=False) == 6 + 8


def test_the_shops_overhead_falls_on_every_product() -> None:
    made = cost_stack(
        product(bought={"blank": bought(10)}), shop(overhead=overhead(percent=Fraction(1, 5), of=("all",)))
    )
    assert made.total(per_order=False) == 12
