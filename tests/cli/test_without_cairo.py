"""A picture needs no cairo, only sheets do."""

import subprocess
import sys

BLOCKED = (
    "import sys; sys.modules['cairocffi'] = None; from cli.main import main; main(sys.argv[1:])"
)


def run(*words):
    line = [sys.executable, "-B", "-c", BLOCKED, *map(str, words)]
    return subprocess.run(line, capture_output=True, text=True, check=False)


def test_a_preview_is_drawn_without_it(net):
    done = run("preview", net)
    assert done.returncode == 0, done.stderr
    assert net.with_suffix(".png").stat().st_size > 1000
