"""What an owner is warned of."""

from typing import Any

from quoting.core.scope_file import scope_from_data
from quoting.core.work_out import work_out
from tests.sample_scopes import everything, pool_deck


def warnings(data: dict[str, Any]) -> tuple[str, ...]:
    return work_out(scope_from_data(data)).warnings


def quiet() -> dict[str, Any]:
    """A scope that there is nothing to say about."""
    data = pool_deck()
    data["pricing"] |= {"minimum": "0"}
    return data


def sealed(coverage: str, coats: int) -> dict[str, Any]:
    data = quiet()
    packs = [{"size": "5 gal", "price": "228.00"}]
    data["materials"] = {"sealer": {"name": "Sealer", "packs": packs, "solids": "0.25"}}
    use = {"by": "coverage", "coverage": coverage, "coats": coats}
    data["work"][0]["materials"] = [{"material": "sealer", "use": use}]
    return data


def test_a_sound_scope_has_no_warnings() -> None:
    assert warnings(quiet()) == ()


def test_a_price_raised_to_the_minimum() -> None:
    assert warnings(pool_deck()) == ("The price was raised to the minimum of 650.00; it came to 385.64.",)


def test_a_quadrilateral_that_does_not_close_names_area_and_part() -> None:
    data = everything()
    data["areas"][0]["parts"][2]["name"] = "landing"
    assert warnings(data)[0].startswith("Deck: landing: diagonal q doesn’t close")


def test_too_much_dry_film_in_all() -> None:
    # 1604.17 ÷ 200 × 0.25 = 2.005 mil in one coat; ÷ 400 twice is the same; ÷ 201 is 1.995
    sentence = "Pool deck: 2.01 mil of dry film in all; over 2 mil a sealer may turn white, scratch or peel."
    assert warnings(sealed("200 ft**2/gal", 1)) == (sentence,)
    assert warnings(sealed("400 ft**2/gal", 2)) == (sentence,)
    assert warnings(sealed("201 ft**2/gal", 1)) == ()


def test_dry_film_in_metric() -> None:
    data = sealed("200 ft**2/gal", 1) | {"units": "metric"}
    assert warnings(data) == (
        "Pool deck: 51 µm of dry film in all; over 51 µm a sealer may turn white, scratch or peel.",
    )


def test_a_material_that_no_step_uses() -> None:
    data = quiet()
    data["materials"]["spare"] = {"name": "Spare", "packs": [{"size": "1 gal", "price": "5"}]}
    assert warnings(data) == ("Spare is in the scope, but no step uses it.",)


def test_an_area_that_no_step_is_done_on() -> None:
    data = quiet()
    data["areas"].append({"name": "Steps", "parts": [{"shape": "measured", "area": "20 ft^2"}]})
    assert warnings(data) == ("Steps: no step is done on it.",)


def test_a_discount_over_the_price() -> None:
    data = quiet()
    data["pricing"]["discount"] = {"amount": "5000.00"}
    assert warnings(data) == ("The discount of 5,000.00 is more than the price, 390.00: nothing is left to pay.",)


def test_a_discount_that_eats_the_profit() -> None:
    data = quiet()
    data["pricing"]["discount"] = "0.5"
    assert warnings(data) == ("After the discount, the price of 195.00 is below the cost of 269.95.",)
