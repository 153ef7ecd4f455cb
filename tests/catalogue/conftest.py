"""A small collection of lattices, its catalogue, and a browser to look at it."""

import subprocess
import sys
from html import escape
from pathlib import Path

import pytest

from render import Wishes, make_catalogue

STEP = 2.0
EVIL = '"><img src=x onerror="document.title=1"><script>document.title=2</script></script>&amp;'
BROWSER = Path("/usr/bin/chromium")
SWITCHES = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]  # fmt: skip


def lattice(columns=9, rows=9, reach=3, stitch=None, words=""):
    """Return a diagonal lattice with a diamond in its middle, as SVG."""
    x, y = (columns // 2) // 2 * 2, (rows // 2) // 2 * 2
    shape, spots = "", [(c, r) for r in range(rows) for c in range(columns) if (c + r) % 2 == 0]
    if stitch:
        spots = [(c, r) for c, r in spots if abs(c - x) + abs(r - y) >= reach]
        corners = [(x, y - reach), (x + reach, y), (x, y + reach), (x - reach, y)]
        points = " ".join(f"{c * STEP},{r * STEP}" for c, r in corners)
        shape = f'<polygon points="{points}" data-stitch="{stitch}"/>'
    dots = "".join(f'<circle cx="{c * STEP}" cy="{r * STEP}" r="0.3"/>' for c, r in spots)
    width, height = columns * STEP + 8, rows * STEP + 8
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="-4 -4 {width} {height}" {words}>{shape}{dots}</svg>'
    )


def fill(folder: Path) -> None:
    """Write the collection: four that can be worked, one of them spiteful, and one that cannot."""
    (folder / "deep" / "er").mkdir(parents=True)
    patterns = {
        "cockle.svg": lattice(stitch="whole", words='data-title="Cockle" data-gauge-mm="0.3"'),
        "whelk.svg": lattice(stitch="half", words='data-title="Whelk" data-gauge-mm="0.25"'),
        "deep/er/net #1 é.svg": lattice(5, 7, words='data-title="Net" data-ground="twisted"'),
        "deep/spite.svg": lattice(
            5, 5, words=f'data-title="{escape(EVIL)}" data-notes="{escape(EVIL)}"'
        ),
        "torn.svg": lattice()[:300],
    }
    for name, text in patterns.items():
        (folder / name).write_text(text, "utf-8")


def contents(folder: Path) -> dict[str, bytes]:
    """Return every file below a folder."""
    return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


@pytest.fixture(scope="session")
def draw_lattice():
    return lattice


@pytest.fixture(scope="session")
def read_all():
    return contents


@pytest.fixture(scope="session")
def evil():
    return EVIL


@pytest.fixture(scope="session")
def collection(tmp_path_factory) -> tuple[Path, Path]:
    """Return the folder of the patterns and that of their catalogue, not to be changed."""
    home = tmp_path_factory.mktemp("collection")
    fill(home / "patterns")
    make_catalogue(home / "patterns", home / "out", Wishes())
    return home / "patterns", home / "out"


@pytest.fixture
def command():
    """Return a function that starts the command in a process of its own."""

    def start(*words) -> subprocess.Popen:
        script = "import sys; from cli.main import main; main(sys.argv[1:])"
        return subprocess.Popen(
            [sys.executable, "-B", "-c", script, *map(str, words)],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )

    return start


@pytest.fixture(scope="session")
def browser(collection):
    """Return a browser; the collection is made first, while this process has one thread."""
    if not BROWSER.exists():
        pytest.skip(f"there is no {BROWSER}: apt-get install chromium")
    playwright = pytest.importorskip("playwright.sync_api", reason="pip install playwright")
    with playwright.sync_playwright() as started:
        opened = started.chromium.launch(executable_path=str(BROWSER), args=SWITCHES)
        yield opened
        opened.close()


@pytest.fixture
def page(browser, collection):
    """Return the catalogue opened from the file system; errors and requests fail the test."""
    context = browser.new_context(viewport={"width": 1200, "height": 800})
    tab = context.new_page()
    tab.set_default_timeout(5000)
    said, asked = [], []
    tab.on("console", lambda message: said.append(message.text))
    tab.on("pageerror", lambda error: said.append(str(error)))
    tab.on("request", lambda request: asked.append(request.url))
    tab.goto((collection[1] / "index.html").as_uri())
    yield tab
    context.close()
    assert said == []
    assert [url for url in asked if not url.startswith(("file:", "data:"))] == []
    assert any(url.startswith("file:") for url in asked), "requests are seen at all"
