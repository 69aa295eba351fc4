"""Scopes to test with: the example of the format, and one that uses every shape and every way of using material."""

from copy import deepcopy
from typing import Any

Data = dict[str, Any]

POOL_DECK: Data = {
    "format": 1,
    "title": "Pool deck and front walk",
    "currency": "USD",
    "units": "us",
    "areas": [
        {
            "name": "Pool deck",
            "surface": "stamped concrete",
            "texture": "1.12",
            "parts": [{"shape": "rectangle", "length": "32 ft", "width": "14' 6\""}],
            "deducts": [{"shape": "circle", "diameter": "6 ft"}],
        }
    ],
    "materials": {
        "base-tone": {
            "name": "Base tone powder, slate",
            "packs": [{"size": "1 lb", "price": "21.50"}, {"size": "5 lb", "price": "84.00"}],
            "on_hand": "0 lb",
            "charge": "packs",
        }
    },
    "work": [
        {
            "step": "Base tone",
            "areas": ["Pool deck"],
            "labour": {"rate": "220 ft**2/hour", "passes": 1, "setup": "0.5 hour", "difficulty": "1"},
            "materials": [
                {
                    "material": "base-tone",
                    "waste": "0.05",
                    "use": {
                        "by": "mix",
                        "strength": "6 oz/gal",
                        "coverage": "150 ft**2/gal",
                        "coats": 1,
                        "batch": "5 gal",
                        "batch_step": "0.25 gal",
                    },
                }
            ],
        }
    ],
    "crew": {"size": 2, "hourly_cost": "39.00"},
    "charges": [{"name": "Travel, 3 visits", "category": "equipment", "amount": "95.00"}],
    "pricing": {
        "overhead": "0.15",
        "profit": {"margin": "0.30"},
        "minimum": "650.00",
        "round_to": "5.00",
        "discount": "0",
        "tax": [{"name": "State", "rate": "0.0625", "on": "materials"}],
    },
}


def pool_deck() -> Data:
    """The example of the format, to be changed."""
    return deepcopy(POOL_DECK)


def _packs(*pairs: str) -> list[Data]:
    return [dict(zip(("size", "price"), pair.split(" at "), strict=True)) for pair in pairs]


LANDING = ("6' 2\"", "5' 8\"", "6' 4\"", "5' 6 1/2\"", "8' 5\"", "8' 9 1/2\"")


def everything() -> Data:
    """Every shape, every way of using material, every kind of labour rate, charge, tax and discount."""
    shapes = [
        {"shape": "rectangle", "length": "32 ft", "width": "14' 6\"", "count": 2, "name": "deck"},
        {"shape": "triangle", "a": "13 ft", "b": "14 ft", "c": "15 ft"},
        {"shape": "quadrilateral", **dict(zip("abcdpq", LANDING, strict=True))},
        {"shape": "trapezoid", "a": "18 ft", "b": "10 ft", "height": "24 ft", "c": "24.5 ft", "d": "24.6 ft"},
        {"shape": "circle", "diameter": "9 ft"},
        {"shape": "ellipse", "length": "24 ft", "width": "16 ft"},
        {"shape": "sector", "radius": "3.81 m", "angle": "90"},
        {"shape": "polygon", "points": [["0 ft", "0 ft"], ["10 ft", "-2 ft"], ["8 ft", "6 ft"]]},
        {"shape": "measured", "area": "250 ft^2", "edge": "80 ft"},
    ]
    return {
        "format": 1,
        "title": "Everything at once",
        "currency": "USD",
        "units": "us",
        "areas": [
            {"name": "Deck", "surface": "stamped concrete", "texture": "1.12", "parts": shapes},
            {
                "name": "Walk",
                "surface": "concrete pavers",
                "parts": [
                    {"shape": "offsets", "spacing": "4 ft", "offsets": ["0 ft", "3 ft", "4 ft", "3' 6\"", "2 ft"]},
                    {"shape": "steps", "count": 3, "width": "5 ft", "tread": "12 in", "riser": "7 in"},
                ],
                "deducts": [{"shape": "circle", "diameter": "1 ft"}],
            },
        ],
        "materials": {
            "base-tone": {"name": "Base tone", "packs": _packs("1 lb at 21.50", "5 lb at 84.00"), "scoop": "2 oz"},
            "sealer": {
                "name": "Sealer",
                "packs": _packs("1 gal at 58.00", "5 gal at 228.00"),
                "on_hand": "1.5 gal",
                "charge": "used",
                "solids": "0.25",
            },
            "cleaner": {"name": "Cleaner", "packs": _packs("1 gal at 24.00")},
            "tape": {"name": "Masking tape", "packs": _packs("1 each at 6.20", "6 each at 33.00")},
            "paste": {
                "name": "Crack paste",
                "packs": _packs("10 oz at 14.00", "1 qt at 38.00"),
                "density": "12 lb/gal",
            },
            "sand": {"name": "Joint sand", "packs": _packs("50 lb at 29.00"), "on_hand": "10 lb"},
            "grit": {"name": "Grit", "packs": _packs("1 lb at 16.00")},
            "flags": {"name": "Wet-film combs", "packs": _packs("1 each at 4.00")},
        },
        "work": [
            {
                "step": "Wash",
                "areas": ["Deck", "Walk"],
                "labour": {"rate": "300 ft**2/hour", "passes": 2, "setup": "0.5 hour", "difficulty": "1.2"},
                "materials": [
                    {
                        "material": "cleaner",
                        "waste": "0.1",
                        "use": {"by": "dilution", "parts_water": "4", "coverage": "120 ft**2/gal", "coats": 1},
                    }
                ],
                "hold": "24 hour",
                "visit": 1,
            },
            {
                "step": "Mask",
                "areas": ["Deck"],
                "labour": {"rate": "80 ft/hour", "length": "edge"},
                "materials": [
                    {
                        "material": "tape",
                        "waste": "0.1",
                        "use": {"by": "length", "per_length": "0.02 each/ft", "length": "edge"},
                    }
                ],
            },
            {
                "step": "Fill cracks",
                "areas": ["Deck"],
                "labour": {"rate": "30 ft/hour", "length": "18 ft"},
                "materials": [
                    {
                        "material": "paste",
                        "waste": "0.25",
                        "use": {"by": "crack", "length": "18 ft", "width": "1/4 in", "depth": "1/2 in"},
                    }
                ],
            },
            {
                "step": "Sand the joints",
                "areas": ["Walk"],
                "labour": {"rate": "12 each/hour", "count": 3},
                "materials": [
                    {
                        "material": "sand",
                        "waste": "0.1",
                        "use": {
                            "by": "joint",
                            "unit_length": "8 in",
                            "unit_width": "4 in",
                            "joint": "1/8 in",
                            "depth": "1 in",
                            "density": "95 lb/ft**3",
                        },
                    }
                ],
            },
            {
                "step": "Base tone",
                "areas": ["Deck"],
                "labour": {"hours": "6 hour"},
                "materials": [
                    {
                        "material": "base-tone",
                        "waste": "0.05",
                        "use": {
                            "by": "mix",
                            "strength": "6 oz/gal",
                            "coverage": "150 ft**2/gal",
                            "batch": "5 gal",
                        },
                    },
                    {"material": "flags", "use": {"by": "each", "count": 2}},
                ],
            },
            {
                "step": "Seal",
                "areas": ["Deck", "Walk"],
                "labour": {"rate": "400 ft**2/hour", "passes": 2},
                "materials": [
                    {
                        "material": "sealer",
                        "waste": "0.05",
                        "use": {"by": "coverage", "rates": ["260 ft**2/gal", "320 ft**2/gal"]},
                    },
                    {"material": "grit", "use": {"by": "coverage", "coverage": "900 ft**2/lb", "coats": 1}},
                    {"material": "tape", "use": {"by": "each", "per_area": "500 ft**2"}},
                ],
            },
        ],
        "crew": {"size": 2, "hourly_cost": "39.00"},
        "charges": [
            {"name": "Travel, 3 visits", "category": "equipment", "amount": "95.00"},
            {"name": "Disposal", "category": "other", "amount": "40.00"},
            {"name": "Saw cuts", "category": "subcontract", "amount": "120.00"},
        ],
        "pricing": {
            "overhead": "0.15",
            "profit": {"markup": "0.45"},
            "minimum": "650.00",
            "round_to": "5.00",
            "discount": {"amount": "100.00"},
            "tax": [
                {"name": "State", "rate": "0.0625", "on": "materials"},
                {"name": "County", "rate": "0.01", "on": "price"},
            ],
        },
    }
