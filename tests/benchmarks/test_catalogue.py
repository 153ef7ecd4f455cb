"""How long a catalogue of 200 patterns takes, first and again, and how much memory.

Skipped unless asked for: ``python -m pytest tests/benchmarks --benchmark-only -s -k catalogue``.
Target: the second run takes under 2 % of the first. Figures are printed, never asserted; that all
is drawn once and nothing twice, and that three kills leave no trace, is.
"""

import json
import resource
import subprocess
import sys
import time
from itertools import product
from random import Random

STEP, PATTERNS = 2.5, 200
RUN = [sys.executable, "-B", "-c", "import sys; from cli.main import main; main(sys.argv[1:])"]


def write_patterns(folder) -> None:
    """Write lattices with diamonds here and there, some in whole and some in half stitch."""
    random = Random(20)
    grounds = ("torchon", "twisted", "doubled", "point")
    for number in range(PATTERNS):
        columns, rows = random.randrange(11, 20, 2), random.randrange(15, 32, 2)
        reach = random.choice((3, 4))
        centres = [(columns // 2, y) for y in range(reach + 2, rows - reach - 2, 2 * reach + 4)]
        kinds = [(x - (x + y) % 2, y, random.choice(("whole", "half"))) for x, y in centres]
        text = lattice(columns, rows, reach, kinds, random.choice(grounds), f"piece {number}")
        (folder / f"{number % 10}").mkdir(parents=True, exist_ok=True)
        (folder / f"{number % 10}" / f"{number:03}.svg").write_text(text, "utf-8")


def lattice(columns, rows, reach, diamonds, ground, title) -> str:
    spots = [
        (c, r)
        for r, c in product(range(rows), range(columns))
        if (c + r) % 2 == 0 and all(abs(c - x) + abs(r - y) >= reach for x, y, _ in diamonds)
    ]
    dots = "".join(f'<circle cx="{c * STEP}" cy="{r * STEP}" r="0.3"/>' for c, r in spots)
    shapes = ""
    for x, y, stitch in diamonds:
        corners = [(x, y - reach), (x + reach, y), (x, y + reach), (x - reach, y)]
        points = " ".join(f"{c * STEP},{r * STEP}" for c, r in corners)
        shapes += f'<polygon points="{points}" data-stitch="{stitch}"/>'
    width, height = columns * STEP + 10, rows * STEP + 10
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="-5 -5 {width} {height}" data-title="{title}" data-ground="{ground}">'
        f"{shapes}{dots}</svg>"
    )


def contents(folder):
    return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def run(folder, out) -> tuple[float, float, str]:
    """Return the seconds of a run, the processor's seconds, and what it said."""
    before, began = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    done = subprocess.run(
        [*RUN, "catalogue", folder, "-o", out], capture_output=True, text=True, check=False
    )
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    busy = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return time.perf_counter() - began, busy, done.stdout


def test_two_hundred_patterns(benchmark, tmp_path):
    folder, out = tmp_path / "patterns", tmp_path / "out"
    write_patterns(folder)
    first, first_busy, said = benchmark.pedantic(run, (folder, out), rounds=1, iterations=1)
    assert f"{PATTERNS} drawn, 0 unchanged" in said
    whole = contents(out)
    again, again_busy, said = run(folder, out)
    assert f"0 drawn, {PATTERNS} unchanged" in said
    assert contents(out) == whole
    largest = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    broken = [p["path"] for p in json.loads(whole["catalogue.json"])["patterns"] if not p["worked"]]
    sys.stdout.write(
        f"\nfirst {first:.1f} s ({first_busy / first:.2f} processors busy), "
        f"again {again:.2f} s ({100 * again / first:.2f} %, {100 * again_busy / first_busy:.2f} % "
        f"of the processors' time), largest process {largest:.0f} MB, "
        f"{sum(map(len, whole.values())) / 1e6:.0f} MB written, without a picture: {broken}\n"
    )


def test_killed_three_times_at_random(benchmark, tmp_path):
    """Kills three runs in turn; the fourth must give what an undisturbed one does."""
    folder, out, random = tmp_path / "patterns", tmp_path / "out", Random(3)
    write_patterns(folder)
    for file in sorted(folder.rglob("*.svg"))[40:]:
        file.unlink()
    for _ in range(3):
        process = subprocess.Popen([*RUN, "catalogue", folder, "-o", out])
        time.sleep(random.uniform(2, 8))
        process.kill()
        process.wait()
    benchmark.pedantic(run, (folder, out), rounds=1, iterations=1)
    run(folder, tmp_path / "undisturbed")
    assert contents(out) == contents(tmp_path / "undisturbed")
