"""The compare command."""

import pytest
from PIL import Image


def test_threads_and_backgrounds_share_one_settling(call, net, tmp_path):
    sheet = tmp_path / "sheet.png"
    words = ("--thread", "navy", "--thread", "white", "--on", "card", "--on", "grey")
    result = call("compare", net, *words, "--size", "80", "-o", sheet)
    assert result.exit_code == 0
    assert "4 pictures, settled once" in result.output
    with Image.open(sheet) as image:
        assert f"{image.width} × {image.height} pixels" in result.output


def test_grounds_and_swaps_are_shown_beside_what_is_marked(call, net, tmp_path):
    area = '<path data-stitch="half" d="M2 2 L6 2 L6 10 L2 10 Z"/></svg>'
    net.write_text(net.read_text("utf-8").replace("</svg>", area), "utf-8")
    words = ("--swap", "half=whole", "--ground", "point", "--gauge", "0.2", "--close", "6")
    result = call("compare", net, *words, "--size", "80", "-o", tmp_path / "sheet.png")
    assert "3 pictures, settled 3 times" in result.output


@pytest.mark.parametrize(
    ("words", "status"),
    [
        (("--thread", "blurple"), 2),
        (("--on", "blurple"), 2),
        (("--gauge", "thick"), 2),
        (("--swap", "half"), 2),
        (("--swap", "half=whole"), 1),
        (("--ground", "sponge"), 1),
        (("-o", "no/such/folder/a.png"), 1),
        (("-o", "sheet.jpg"), 1),
    ],
)
def test_what_cannot_be_is_refused_in_one_message(call, net, tmp_path, words, status):
    before = sorted(tmp_path.iterdir())
    result = call("compare", net, "-o", tmp_path / "sheet.png", "--size", "80", *words)
    assert result.exit_code == status
    assert "Error" in result.output
    assert sorted(tmp_path.iterdir()) == before
