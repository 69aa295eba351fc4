"""What is bought of a material and what it costs, in one line."""

from quoting.core.scope_file import scope_from_data
from quoting.core.work_out import work_out
from quoting.core.workings import MaterialFigure
from tests.sample_scopes import everything, pool_deck


def test_one_line_of_a_single_use_goes_on_to_the_packs() -> None:
    """32 × 14.5 = 464 ft², less π × 3² = 28.27; × 1.12 ÷ 150 × 1.05 = 3.416 gal → 3.50 gal × 6 oz = 21 oz."""
    workings = work_out(scope_from_data(pool_deck()))
    assert workings.materials[0].working == (
        "435.73 ft² × 1.12 texture ÷ 150 ft²/gal × 1.05 waste = 3.42 gal, of mix "
        "→ 3.50 gal, mixed in batches × 6 oz/gal, strength = 21.00 oz → 2 × 1 lb"
    )


def test_a_plain_coverage_reads_as_in_the_trade() -> None:
    data = pool_deck()
    del data["areas"][0]["deducts"]
    data["materials"] = {"sealer": {"name": "Sealer", "packs": [{"size": "1 gal", "price": "58"}]}}
    use = {"by": "coverage", "coverage": "200 ft**2/gal"}
    data["work"][0]["materials"] = [{"material": "sealer", "waste": "0.05", "use": use}]
    workings = work_out(scope_from_data(data))
    # 464 × 1.12 ÷ 200 × 1.05 = 2.72832
    assert (
        workings.materials[0].working == "464.00 ft² × 1.12 texture ÷ 200 ft²/gal × 1.05 waste = 2.73 gal → 3 × 1 gal"
    )


def material(key: str) -> MaterialFigure:
    return next(each for each in work_out(scope_from_data(everything())).materials if each.material == key)


def test_needs_of_several_steps_are_added() -> None:
    assert material("tape").working == "12.62 each, Mask + 5.00 each, Seal = 17.62 each → 3 × 6 each"


def test_stock_comes_off_before_packs_are_bought() -> None:
    assert material("sand").working.endswith("= 27.95 lb − 10.00 lb, from stock = 17.95 lb, to buy → 1 × 50 lb")


def test_packs_and_stock_are_priced() -> None:
    # 29.00 ÷ 50 lb = 0.58 a pound
    assert material("sand").cost_working == (
        "29.00 for 1 of 50 lb at 29.00 + 5.80 for 10 lb from stock at 0.58 = 34.80 Joint sand"
    )


def test_what_is_used_is_priced_by_the_set() -> None:
    # 2 × 58 + 3 × 228 = 800.00 for 17 gal
    assert material("sealer").cost_working == (
        "18.22 gal, used × 800.00 for the packs bought ÷ 17.00 gal, in them = 857.35 Sealer"
    )
