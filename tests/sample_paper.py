"""Papers for tests that print: a small one around any body, and the reference paper of the benchmarks."""

import io
import random
from datetime import UTC, datetime
from functools import cache

from PIL import Image

DATE = datetime(2026, 6, 12, 9, 30, tzinfo=UTC)


def paper(body: str, title: str = "Proposal 0417-B") -> str:
    """A whole paper around `body`, with a foot and a first heading, as base_print.html makes it."""
    return (
        f'<!doctype html><html lang="en"><head><meta charset="utf-8"><title>{title}</title></head><body>'
        '<footer class="foot"><div>Ferrow &amp; Daughter</div><div><b>Proposal 0417-B</b></div>'
        '<div class="pg" data-of="of">page </div></footer>'
        f"<main><h1>18 Alder Row</h1>{body}</main></body></html>"
    )


@cache
def photo(seed: int = 1, width: int = 1600, height: int = 1200) -> bytes:
    """A JPEG with the unrest of a slab: coarse noise, made smooth. The same bytes for the same seed on one machine."""
    noise = random.Random(seed).randbytes(160 * 120 * 3)  # noqa: S311 (stones, not secrets)
    picture = Image.frombytes("RGB", (160, 120), noise).resize((width, height), Image.Resampling.BICUBIC)
    file = io.BytesIO()
    picture.save(file, "JPEG", quality=85)
    return file.getvalue()


def plan(shapes: int = 100) -> str:
    """A drawing of that many shapes with a dimension here and there."""
    ink = 'fill="none" stroke="#16191b"'
    places = [(20 + 60 * (n % 10), 20 + 34 * (n // 10)) for n in range(shapes)]
    parts = [
        f'<rect x="{x}" y="{y}" width="52" height="28" {ink}/>'
        if n % 2
        else f'<path d="M{x} {y + 28}q26 -40 52 0z" {ink}/>'
        for n, (x, y) in enumerate(places)
    ]
    font = 'font-family="Source Sans Pro" font-size="12" text-anchor="middle"'
    labels = [f'<text x="{46 + 60 * n}" y="14" {font}>{n}′ 6″</text>' for n in range(10)]
    inside = "<title>Plan to scale</title>" + "".join(parts + labels)
    return (
        f'<figure><svg class="plan" width="640" height="380" viewBox="0 0 640 380" role="img">{inside}</svg></figure>'
    )


PROSE = """<p>Your deck looked like stone and can again. The sealer on it still holds, so it need not come off: we wash,
mend the crack, bring back a dark tone in the recesses and a lighter one on the faces, and seal twice. Nothing is done
beyond this paper without a numbered change, signed by you first.</p>"""


def clause(heading: str, inside: str) -> str:
    """One matter of a paper, its heading in the margin."""
    return f'<section class="clause"><div class="margin"><h2>{heading}</h2></div>{inside}</section>'


def figure(name: str, kind: str = "photo") -> str:
    """A photograph with its words."""
    image = f'<img src="image:{name}" alt="The slab, {name}">'
    return f'<figure class="{kind}">{image}<figcaption>{name}</figcaption></figure>'


HOWS = (
    "two thin coats, a day apart, sprayed and rolled; about 2 mil dry, grit in the last",
    "graphite, broomed into the recesses while the slab is damp, the loose rinsed off",
    "two passes, mild cleaner 1 to 4, the water kept out of the drains and the beds",
)


def priced_rows(count: int) -> str:
    """A table of steps with six columns and a sum."""
    heads = (("Step", "w20"), ("How", "w35"), ("Coats", "n"), ("Area, ft²", "n"), ("Rate", "n"), ("Price", "n"))
    head = "".join(f'<th scope="col" class="{width}">{name}</th>' for name, width in heads)
    rows = [
        f'<tr><th scope="row"><span class="key">{n}</span>Stretch {n}, deck and steps</th><td>{HOWS[n % 3]}</td>'
        f'<td class="n">{n % 2 + 1}</td><td class="n">{n + 10}.5</td><td class="n">{n % 7 + 1}.25</td>'
        f'<td><span class="m">{n * 30}.00</span></td></tr>'
        for n in range(1, count + 1)
    ]
    total = f'<tr class="sum"><th scope="row">In all</th>{"<td></td>" * 4}<td class="n">1,810.00</td></tr>'
    return f"<table><thead><tr>{head}</tr></thead><tbody>{''.join(rows)}{total}</tbody></table>"


def reference_paper() -> tuple[str, dict[str, bytes]]:
    """The paper of every ratio: 4 pages, 39 priced rows, 4 photographs, a plan of 100 shapes, 2 families.

    The photographs have the size at which they are printed, as an upload is kept: inches times 150 dots.
    """
    names = [f"view-{n}.jpg" for n in range(1, 5)]
    seen = f'<div class="cols">{"".join(map(figure, names))}</div>{PROSE}'
    tables = "".join(
        f'<section class="clause whole"><h2>Area {letter}</h2>{priced_rows(13)}</section>' for letter in "ABC"
    )
    body = (
        clause("In short", PROSE)
        + clause("What we saw", seen)
        + tables
        + f'<section class="clause whole"><h2>What we measured</h2>{plan()}</section>'
        + clause("Terms", PROSE * 2)
    )
    return paper(body), {name: photo(n, 200, 150) for n, name in enumerate(names)}
