"""How long a whole preview takes, from the file to the picture.

Skipped unless asked for: ``python -m pytest tests/benchmarks --benchmark-only``. Targets on two
cores: 4 s for the edging, 40 s and 1.5 GB for the large piece. Times are reported, never asserted.
"""

import resource
import sys
from pathlib import Path

import pytest

from render import Wishes, preview, work

STEP = 2.5


def write_lattice(path: Path, columns: int, rows: int, figures: list[tuple[int, int]]) -> int:
    """Write a torchon pricking with diamonds of 7 pairs a side; return its number of holes."""
    reach = 6
    spots = [
        (c, r)
        for r in range(rows)
        for c in range(columns)
        if (c + r) % 2 == 0 and all(abs(c - x) + abs(r - y) >= reach for x, y in figures)
    ]
    dots = "".join(f'<circle cx="{c * STEP}" cy="{r * STEP}" r="0.3"/>' for c, r in spots)
    shapes = "".join(_diamond(x, y, reach, k) for k, (x, y) in enumerate(figures))
    width, height = columns * STEP + 10, rows * STEP + 10
    path.write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="-5 -5 {width} {height}">{shapes}{dots}</svg>',
        "utf-8",
    )
    return len(spots)


def _diamond(x: int, y: int, reach: int, number: int) -> str:
    corners = [(x, y - reach), (x + reach, y), (x, y + reach), (x - reach, y)]
    points = " ".join(f"{c * STEP},{r * STEP}" for c, r in corners)
    return f'<polygon points="{points}" data-stitch="{("whole", "half")[number % 2]}"/>'


@pytest.mark.parametrize(
    ("columns", "rows", "figures", "holes"),
    [
        (29, 107, [(14, 16), (14, 52), (14, 88)], 1_500),
        (121, 243, [(c, r) for c in (24, 60, 96) for r in range(20, 230, 40)], 14_000),
    ],
    ids=["edging", "large piece"],
)
def test_whole_preview(benchmark, tmp_path, columns, rows, figures, holes):
    pattern = tmp_path / "lattice.svg"
    count = write_lattice(pattern, columns, rows, figures)
    assert count == pytest.approx(holes, rel=0.1)
    made = benchmark.pedantic(
        preview,
        (pattern, tmp_path / "lace.png", Wishes(largest_megapixels=1_000)),
        rounds=1,
        iterations=1,
    )
    kilobytes = 1 if sys.platform != "darwin" else 1024
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / kilobytes
    benchmark.extra_info.update(holes=count, megabytes=round(most / 1024), gauge=str(made.gauge))
    assert made.counts.holes == count


@pytest.mark.parametrize("repeats", [8, 50, 200])
@pytest.mark.parametrize("what", ["work", "picture"])
def test_a_long_edging(benchmark, tmp_path, repeats, what):
    """The fans of the demo set: what is worked is a few repeats, the rest is laid and drawn.

    Target for the work of 200 repeats: no more than twice that of 8. Every picture is about 4000
    dots long, so that what it takes grows with the lengths of the threads alone.
    """
    pattern = Path(__file__).parents[2] / "demo_patterns" / "limpet_edging.svg"
    if what == "work":
        made = benchmark.pedantic(
            work, (pattern, Wishes(repeats=repeats)), rounds=1, iterations=1
        ).plan.pricking
        assert len(made.holes) == 50 * repeats
        return
    wishes = Wishes(repeats=repeats, dpi=20 * 200 / repeats)
    shown = benchmark.pedantic(
        preview, (pattern, tmp_path / "lace.png", wishes), rounds=1, iterations=1
    )
    benchmark.extra_info.update(pixels=shown.width * shown.height)
    assert shown.counts.holes == 50 * repeats
