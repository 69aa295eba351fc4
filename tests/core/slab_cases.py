"""Slabs in short hand, and for each rule of advice a slab that makes it speak and one that keeps it silent."""

from quoting.core.advice import Slab
from quoting.core.findings import Finding

TACKY = "solvent-drop result=tacky waited=60"
UNCHANGED = "solvent-drop result=unchanged waited=60"
BONDS = "test-patch result=holds waited=24 cut=yes"
FAILS = "test-patch result=lifts"
HOLDS = "tape result=clean; scratch result=line; film look=worn"
LIFTS = "tape result=places"
BEADS, SOAKS = "water-drop result=beads", "water-drop result=soaks"
LIKED, PALE = "wet-colour result=liked", "wet-colour result=pale"
SOUND = f"{HOLDS}; {TACKY}; {BEADS}; {LIKED}"
HAIRLINE = "crack width=1/16 level=no"


def slab(said: str, surface: str = "stamped") -> Slab:
    """A slab with these findings, each `kind question=answer …`, parted by semicolons."""
    findings = []
    for part in filter(None, (each.strip() for each in said.split(";"))):
        kind, *answers = part.split()
        given = dict(answer.split("=") for answer in answers)
        findings.append(Finding(kind=kind, answers={name: value.replace("_", " ") for name, value in given.items()}))
    return Slab(surface=surface, findings=tuple(findings))


CASES: dict[str, tuple[str, str]] = {
    "reseal-sound-film": (SOUND, f"{HOLDS}; {UNCHANGED}; {LIKED}"),
    "reseal-patch-held": (f"{HOLDS}; {BONDS}; {LIKED}", f"{HOLDS}; {FAILS}; {LIKED}"),
    "seal-open-slab": (f"{SOAKS}; film look=none; {LIKED}", f"{SOAKS}; film look=none; {PALE}"),
    "re-wet-milky": (
        f"film look=milky; {TACKY}; tape result=clean; scratch result=line",
        f"film look=milky; {UNCHANGED}; tape result=clean; scratch result=line",
    ),
    "recolour-wrong-colour": (PALE, LIKED),
    "sand-low-joints": ("concrete-pavers: joint-sand result=gone", "concrete-pavers: joint-sand result=full"),
    "penetrate-salt-or-slip": (f"{SOAKS}; salt-pool result=salt", f"{BEADS}; salt-pool result=salt"),
    "abrade-hard-film": ("surface-history sealer=urethane-epoxy", "surface-history sealer=water-based"),
    "strip-lost-hold": (LIFTS, HOLDS),
    "strip-four-coats": ("surface-history coats=4", "surface-history coats=3"),
    "strip-patch-failed": (f"{FAILS}; {BEADS}", f"{FAILS}; {SOAKS}"),
    "strip-film-unknown": (f"solvent-drop result=unchanged waited=5; {BEADS}", f"{TACKY}; {BEADS}"),
    "decline-structural": ("crack width=5/16 level=no", "crack width=1/4 level=no"),
    "decline-hard-film": ("surface-history sealer=urethane-epoxy", "surface-history sealer=solvent-acrylic"),
    "film-lost-hold": ("scratch result=flakes", HOLDS),
    "clear-over-wrong-colour": ("wet-colour result=wrong", LIKED),
    "re-wet-other-film": (UNCHANGED, TACKY),
    "hard-film": ("surface-history sealer=urethane-epoxy", "surface-history sealer=penetrant"),
    "four-coats": ("surface-history coats=5", "surface-history coats=3"),
    "penetrant-over-film": (BEADS, SOAKS),
    "patch-failed": ("test-patch result=crawls", BONDS),
    "nothing-to-strip": (f"{SOAKS}; film look=none", f"{SOAKS}; {BEADS}; film look=none"),
    "no-joints": ("stamped:", "clay-pavers:"),
    "under-28-days": ("surface-history age=new", "surface-history age=young"),
    "pavers-under-60-days": ("clay-pavers: surface-history age=young", "clay-pavers: surface-history age=months"),
    "beads-without-film": (f"{BEADS}; film look=none", f"{BEADS}; film look=none; {BONDS}"),
    "other-film-patch": (f"{UNCHANGED}; {BEADS}", f"{UNCHANGED}; {BEADS}; {BONDS}"),
    "film-unknown": (BEADS, f"{BEADS}; {TACKY}"),
    "wet-under-sheet": ("plastic-sheet result=drops", "plastic-sheet result=nothing waited=16"),
    "wet-joints": ("joint-sand damp=yes", "joint-sand damp=no"),
    "rinse-again": ("rinse-ph rinse=9.1 fresh=8", "rinse-ph rinse=9 fresh=8"),
    "structural-crack": ("crack width=1/8 level=yes", HAIRLINE),
    "spalls": ("spalls result=few", "spalls result=none"),
    "ponding": ("drainage result=stands", "drainage result=runs"),
    "stains-stay": ("stains result=rust", "stains result=none"),
    "salts-return": ("efflorescence result=light", "efflorescence result=none"),
    "clay-pavers": ("clay-pavers:", "concrete-pavers:"),
    "salts-first": ("efflorescence result=light", "efflorescence result=none"),
    "brush-heavy-salts": ("efflorescence result=heavy", "efflorescence result=light"),
    "salt-pool": ("salt-pool result=salt", "salt-pool result=chlorine"),
    "water-over-solvent": (TACKY, UNCHANGED),
    "solvent-over-water": (UNCHANGED, f"{TACKY}; surface-history sealer=solvent-acrylic"),
    "hard-film-peels": ("surface-history sealer=urethane-epoxy", "surface-history sealer=water-based"),
    "film-comes-off": (LIFTS, HOLDS),
    "many-coats": ("surface-history coats=3", "surface-history coats=2"),
    "stripping-takes-colour": ("colour-carrier result=surface", "colour-carrier result=skin"),
    "colour-may-crawl": (f"{BEADS}; film look=none", f"{SOAKS}; film look=none"),
    "moving-crack": (f"{HAIRLINE} moving=yes", f"{HAIRLINE} moving=no"),
    "cracks-show": (HAIRLINE, "crack width=1/2 level=no"),
    "moisture": ("plastic-sheet result=dark", "plastic-sheet result=nothing waited=16"),
    "dryness-unproven": ("plastic-sheet result=nothing waited=16", "plastic-sheet result=drops"),
    "shade-dries-slowly": ("shade result=part", "shade result=sun"),
    "grit": ("slip result=grips barefoot=yes", "slip result=grips barefoot=no slope=no frail=no"),
    "plants": ("plants result=lawn", "plants result=none"),
    "overspray": ("glass result=some", "glass result=none"),
    "wash-water": ("", "always"),
    "solvent-vapour": (TACKY, f"{UNCHANGED}; surface-history sealer=water-based"),
    "voc": ("", "always"),
    "unknown-film-passes": (BEADS, f"{SOAKS}; film look=none"),
    "unknown-film-contingency": (BEADS, "surface-history sealer=water-based"),
    "strip-passes": (LIFTS, HOLDS),
    "crack-length": (HAIRLINE, "crack width=1 level=no"),
    "joint-sand": ("clay-pavers: joint-sand result=low", "clay-pavers: joint-sand result=full"),
    "far-truck": ("access result=far", "access result=hose"),
    "slope": ("slip slope=yes", "slip slope=no"),
    "no-water": ("water result=none", "water result=works"),
    "no-power": ("power result=none", "power result=works"),
    "drops-differ": (f"{TACKY}; {UNCHANGED}", TACKY),
    "told-solvent-reads-other": (
        f"surface-history sealer=solvent-acrylic; {UNCHANGED}",
        f"surface-history sealer=solvent-acrylic; {TACKY}",
    ),
    "told-other-reads-solvent": (
        f"surface-history sealer=water-based; {TACKY}",
        f"surface-history sealer=water-based; {UNCHANGED}",
    ),
    "never-sealed-but-film": (
        "surface-history sealed=never; film look=milky",
        f"surface-history sealed=never; film look=none; tape result=clean; {UNCHANGED}",
    ),
    "never-sealed-but-beads": (f"surface-history sealed=never; {BEADS}", f"surface-history sealed=never; {SOAKS}"),
    "open-but-film": (f"{SOAKS}; film look=even", f"{SOAKS}; film look=worn"),
    "no-film-but-comes-off": (f"film look=none; {LIFTS}", "film look=none; tape result=clean; scratch result=line"),
    "tape-and-scratch": ("tape result=clean; scratch result=flakes", HOLDS),
    "patch-over-loose-film": (f"{BONDS}; {LIFTS}", f"{BONDS}; tape result=clean"),
    "colour-liked-and-not": (f"{LIKED}; {PALE}", LIKED),
}
"""By the rule's id: a slab on which it holds, and one on which it is known not to; its surface may stand first."""


def case(said: str) -> Slab:
    """The slab of a case; `always` stands for one on which nothing is known."""
    surface, colon, findings = said.partition(":")
    return slab(findings, surface) if colon else slab("" if said == "always" else said)
