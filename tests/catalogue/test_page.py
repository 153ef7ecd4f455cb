"""The page in a real browser, opened from the file system."""

import json
from pathlib import Path
from urllib.parse import unquote, urlparse

import pytest

# The browser writes the numbers of a transform with six digits.
ROUNDED = 1e-5


def await_title(page, title):
    """Wait until the panel shows a piece: its address changes first, then the panel."""
    page.wait_for_function(
        "t => document.querySelector('#piece-title').innerText.trim() === t.trim()", arg=title
    )


def titles(page):
    return page.locator(".card:visible .title").all_text_contents()


def open_piece(page, title):
    page.locator(".card", has=page.get_by_text(title, exact=True)).locator(".open").click()


def zoomed(page):
    page.wait_for_function("document.getElementById('picture').complete")
    return page.evaluate("new DOMMatrix(document.getElementById('picture').style.transform).a")


def test_every_pattern_has_a_card_and_every_picture_loads(page, evil):
    assert sorted(titles(page)) == sorted(["Cockle", "Whelk", "Net", evil, "torn"])
    page.wait_for_function("[...document.querySelectorAll('#grid img')].every(i => i.complete)")
    widths = page.locator("#grid img").evaluate_all("all => all.map(i => i.naturalWidth)")
    assert len(widths) == 4
    assert all(width > 0 for width in widths)
    assert all(page.locator("#grid img").evaluate_all("all => all.map(i => i.loading === 'lazy')"))


def test_the_broken_one_says_why(page):
    assert "breaks off" in page.locator(".card.broken .message").inner_text()


@pytest.mark.parametrize(
    ("words", "found"),
    [("COCKLE", ["Cockle"]), ("twisted net", ["Net"]), ("nothing like it", []), ("#1 é", ["Net"])],
)
def test_words_find_patterns(page, words, found):
    page.locator("#words").fill(words)
    assert titles(page) == found
    assert page.locator("#nothing").is_visible() == (not found)
    assert page.locator("#count").inner_text().startswith(f"{len(found)} of 5")


def test_filters_agree_with_the_listing(page, collection):
    listed = json.loads((collection[1] / "catalogue.json").read_text("utf-8"))["patterns"]
    figures = {one["title"]: one["figures"] for one in listed if one["figures"]}
    most = figures["Net"]["pairs"]
    page.locator("#pairs").fill(str(most))
    assert (
        set(titles(page)) == {t for t, f in figures.items() if f["pairs"] <= most} != set(figures)
    )
    page.locator("#clear").click()
    hours = figures["Net"]["hours"]
    page.locator("#hours").fill(str(hours))
    assert set(titles(page)) == {t for t, f in figures.items() if f["hours"] <= hours}
    page.locator("#clear").click()
    page.locator("#size").fill("15")
    assert set(titles(page)) == {t for t, f in figures.items() if max(f["size_mm"]) <= 15}


@pytest.mark.parametrize(
    ("field", "value", "found"),
    [
        ("technique", "with some:half", {"Whelk"}),
        ("technique", "with some:whole", {"Cockle"}),
        ("ground", "twisted", {"Net"}),
        ("thread", "0.30 mm", {"Cockle"}),
        ("outcome", "broken", {"torn"}),
    ],
)
def test_choices_find_patterns(page, field, value, found):
    page.locator(f"#{field}").select_option(value)
    assert set(titles(page)) == found
    page.locator("#clear").click()
    assert len(titles(page)) == 5


@pytest.mark.parametrize(
    ("order", "key"), [("pairs", "pairs"), ("hours", "hours"), ("thread", "gauge_mm")]
)
def test_order_agrees_with_the_listing(page, collection, order, key):
    listed = json.loads((collection[1] / "catalogue.json").read_text("utf-8"))["patterns"]
    figures = {one["title"]: one["figures"] for one in listed if one["figures"]}
    for backwards in (False, True):
        page.locator("#order").select_option(order)
        page.locator("#backwards").set_checked(backwards)
        seen = titles(page)
        values = [figures[title][key] for title in seen[:-1]]
        assert values == sorted(values, reverse=backwards)
        assert seen[-1] == "torn", "what has no figures comes last"


def test_markup_in_titles_and_notes_stays_text(page, evil):
    assert evil in titles(page)
    open_piece(page, evil)
    await_title(page, evil)
    assert evil in page.locator("#about").inner_text()
    page.wait_for_timeout(100)
    assert page.title().startswith("Lace catalogue")
    assert page.locator("img[src='x']").count() == 0


def test_a_piece_opens_with_figures_and_a_link_to_its_file(page, collection):
    open_piece(page, "Net")
    assert "6, 6 at once" in page.locator("#figures").inner_text()
    link = page.locator("#file").evaluate("a => a.href")
    file = Path(unquote(urlparse(link).path))
    assert file == collection[0].resolve() / "deep" / "er" / "net #1 é.svg"
    assert file.is_file()


def test_links_lead_nowhere_but_to_the_patterns(page, collection):
    for card in page.locator(".open").all():
        card.click()
        path = Path(unquote(urlparse(page.locator("#file").evaluate("a => a.href")).path))
        assert path.is_relative_to(collection[0].resolve())
        page.locator("#close").click()
    assert page.locator("a[href^='http']").count() == 0


def test_the_pricking_is_shown_as_drawing(page):
    open_piece(page, "Cockle")
    page.locator("#show-pricking").click()
    page.wait_for_function("document.getElementById('picture').naturalWidth > 0")
    assert page.locator("#picture").get_attribute("src").endswith("-pricking.svg")
    assert page.locator("#show-pricking").get_attribute("aria-pressed") == "true"


def test_the_picture_is_enlarged_and_moved(page):
    open_piece(page, "Cockle")
    page.wait_for_function("document.getElementById('picture').style.transform !== ''")
    fitting = zoomed(page)
    page.locator("#closer").click()
    assert zoomed(page) == pytest.approx(1.4 * fitting, rel=ROUNDED)
    page.locator("#view").hover()
    page.mouse.wheel(0, -400)
    page.wait_for_function("document.getElementById('scale').textContent === '381 %'")
    before = page.locator("#picture").bounding_box()
    page.mouse.down()
    page.mouse.move(500, 300, steps=3)
    page.mouse.up()
    assert page.locator("#picture").bounding_box() != before
    page.locator("#fit").click()
    assert zoomed(page) == pytest.approx(fitting, rel=ROUNDED)


def test_all_is_done_with_the_keyboard(page):
    page.keyboard.press("/")
    page.keyboard.type("e")
    page.keyboard.press("Control+A")
    page.keyboard.type("Cockle")
    for _ in range(30):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.className") == "open":
            break
    page.keyboard.press("Enter")
    await_title(page, "Cockle")
    page.locator("#view").focus()
    page.wait_for_function("document.getElementById('picture').style.transform !== ''")
    fitting = zoomed(page)
    page.keyboard.press("+")
    assert zoomed(page) == pytest.approx(1.4 * fitting, rel=ROUNDED)
    page.keyboard.press("0")
    assert zoomed(page) == pytest.approx(fitting, rel=ROUNDED)
    page.keyboard.press("Escape")
    page.locator("#piece").wait_for(state="hidden")
    page.wait_for_function("document.activeElement.className === 'open'")  # back at the card


def test_arrows_go_from_card_to_card_and_n_from_piece_to_piece(page):
    seen = titles(page)
    page.locator(".open").first.focus()
    page.keyboard.press("ArrowRight")
    assert page.evaluate("document.activeElement.querySelector('.title').textContent") == seen[1]
    page.keyboard.press("Enter")
    await_title(page, seen[1])
    page.keyboard.press("n")
    await_title(page, seen[2])
    page.keyboard.press("p")
    await_title(page, seen[1])


def test_the_address_leads_to_a_piece_and_back_closes_it(page):
    open_piece(page, "Whelk")
    address = page.url
    page.go_back()
    assert not page.locator("#piece").is_visible()
    page.goto(address)
    await_title(page, "Whelk")


def test_a_narrow_window_needs_no_sideways_scrolling(page):
    page.set_viewport_size({"width": 320, "height": 600})
    wide = "document.documentElement.scrollWidth"
    assert page.evaluate(wide) <= 320
    open_piece(page, "Cockle")
    assert page.evaluate(wide) <= 320


def test_it_prints_as_a_contact_sheet(page, tmp_path):
    pdfium = pytest.importorskip("pypdfium2")
    # Pictures further down are fetched when they come into sight, or when asked for.
    page.evaluate("document.querySelectorAll('img').forEach(i => { i.loading = 'eager'; })")
    page.wait_for_function("[...document.images].every(i => !i.src || i.complete)")
    page.pdf(path=tmp_path / "sheet.pdf", format="A4")
    (sheet,) = pdfium.PdfDocument(tmp_path / "sheet.pdf")
    pictures = [thing for thing in sheet.get_objects() if thing.type == 3]
    text = sheet.get_textpage().get_text_bounded()
    assert len(pictures) == 4
    assert "Cockle" in text
    assert "at most" not in text, "the form is left out"


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("state", ["grid", "piece"])
def test_nothing_stands_in_the_way_of_a_screen_reader(page, scheme, state):
    """Judged by the rules of axe-core (WCAG 2.1, levels A and AA, and its best practices)."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright")
    page.emulate_media(color_scheme=scheme)
    if state == "piece":
        open_piece(page, "Cockle")
        page.wait_for_function("document.getElementById('picture').naturalWidth > 0")
    results = axe.Axe().run(page)
    assert len(results.response["passes"]) > 10
    assert results.violations_count == 0, results.generate_report()
