"""The words that a firm's proposals begin with until it writes its own: dated starting points, never advice."""

STARTING_WORDS: dict[str, str] = {
    "weather_rule": (
        "We wash, colour and seal on dry days between 50 °F and 90 °F. Rain, dew or heat moves a day; we ring the "
        "evening before, and a day that is moved costs you nothing."
    ),
    "please_do": "Clear furniture, pots and mats off the slab.\nKeep sprinklers off from two days before we begin.\n"
    "Keep people, children and pets off until we say so.",
    "we_do": "Cover plants, walls and doors beside the slab.\nKeep wash water out of storm drains.\n"
    "Test a patch first, and go on when you like it.",
    "payment_note": "",
    "change_rule": "A change is written down with its price and its days, and signed before the work on it begins.",
    "exclusions": "Repairs to the slab's base, drainage and cracks that come back.\n"
    "Marks and damage that were there before and that we noted together.",
    "expectations": "Shade varies from stone to stone.\nRepairs show.\n"
    "Sealer dulls and is renewed every 1 to 5 years.\nOld stains may stay.",
    "cautions": "Sealer gives off solvent vapour: no flame and no spark near it, and windows beside the slab stay shut "
    "until the smell is gone.\nA sealed slab can be slippery when it is wet.\n"
    "Keep children, pets and plants away from wet materials.\nLabels, safety data sheets and local rules come first.",
}
"""By field of the firm. Common practice, no published source; a firm reads them over before its first proposal."""

STARTING_NOTICE_DATE = "1 June 2026"

STARTING_NOTICE = (
    f"Starting text of {STARTING_NOTICE_DATE}, have it checked by your adviser: Where this agreement is signed at "
    "your home you may have a right to cancel it within a number of days. Ask us for the form, and for the last day "
    "on which you may use it."
)
"""Offered, never filled in by itself: a legal notice stands on papers only when the firm has switched it on."""
