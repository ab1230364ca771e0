"""The page as a person meets it: on a phone, printed, with a keyboard, without a script, in a stranger's hands."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from chromium import browser, violations
from conftest import plant
from remembered import appraise
from typer.testing import CliRunner

from econ.cli import app
from econ.page.document import REMARK, document
from econ.page.markup import money, plain
from econ.workbook.safe_write import sealed

PHONE = {"width": 390, "height": 844}
NAMES = ("thistle-flat", "alder-ford")
HOSTILE = "</title></script><script>document.title='x'</script><img src=x onerror=alert(1)> & \"quoted\" 'k'"
MOST_BYTES = 400_000


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The pages of the shipped plants."""
    work = tmp_path_factory.mktemp("pages")
    found = {}
    for name in NAMES:
        found[name] = work / f"{name}.html"
        found[name].write_text(document(appraise(plant(name))), encoding="utf-8")
    return found


@pytest.fixture(scope="module")
def chrome() -> Iterator[Any]:
    with browser() as found:
        yield found


@pytest.fixture(scope="module")
def still(chrome: Any, made: dict[str, Path]) -> dict[str, Any]:
    """A live page of each plant, for tests that move nothing."""
    return {name: opened(chrome, made[name]) for name in NAMES}


def opened(chrome: Any, path: Path, **how: Any) -> Any:
    """A page in a tab of its own, with its faults and its requests noted."""
    context = chrome.new_context(**{"viewport": PHONE, **how})
    tab = context.new_page()
    tab.notes = []
    tab.on("pageerror", lambda fault: tab.notes.append(str(fault)))
    tab.on("console", lambda said: tab.notes.append(said.text))
    tab.on("request", lambda asked: tab.notes.append(asked.url))
    tab.goto(path.as_uri())
    if how.get("java_script_enabled", True):
        tab.wait_for_selector("body.live", timeout=30_000)
    return tab


@pytest.mark.parametrize("name", NAMES)
def test_the_page_asks_nothing_of_a_network_and_says_no_fault(
    still: dict[str, Any], made: dict[str, Path], name: str
) -> None:
    tab = still[name]
    assert tab.notes == [made[name].as_uri()]
    policy = tab.locator("meta[http-equiv]").get_attribute("content")
    assert policy.startswith("default-src 'none'; script-src 'sha256-")
    assert "unsafe" not in policy
    assert "://" not in made[name].read_text(encoding="utf-8").partition("<details>")[0]


@pytest.mark.parametrize("name", NAMES)
def test_what_moves_says_at_first_what_the_run_said(
    chrome: Any, still: dict[str, Any], made: dict[str, Path], name: str
) -> None:
    """The numbers of the run stand in the file; the script writes the same over them."""
    live, dead = still[name], opened(chrome, made[name], java_script_enabled=False)
    live.evaluate("show(answer({}, DATA.samples))")
    for part in (".answers", "#now-missing", "#title-spread", "#said-cash"):
        assert live.locator(part).inner_text() == dead.locator(part).inner_text()
    for picture in ("spread", "cash", "moves", "carbon", "options"):
        where = f"#picture-{picture}"
        assert live.locator(where).inner_html() == dead.locator(where).inner_html(), picture
    dead.context.close()


@pytest.mark.parametrize("name", NAMES)
def test_no_number_has_an_exponent(made: dict[str, Path], name: str) -> None:
    said = re.sub("<script.*?</script>|<style.*?</style>", "", made[name].read_text(encoding="utf-8"), flags=re.S)
    assert re.findall(r"[^<>]*[0-9]e[+-][0-9]+[^<>]*", said) == []


@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_wider_than_the_screen(still: dict[str, Any], name: str) -> None:
    tab = still[name]
    for width in (320, 390, 768, 1280):
        tab.set_viewport_size({"width": width, "height": 844})
        assert tab.evaluate("document.documentElement.scrollWidth") <= width
    tab.set_viewport_size(PHONE)


LONG = """[{label: 'a', start: -1, end: 2, text: '−1,230,000 USD to 12,300,000 USD'},
  {label: 'b', start: 0, end: 2, text: '1'}]"""
OVER = """() => [...document.querySelectorAll('#picture-moves text.end')].filter((text) => {
  const box = text.getBBox(), bars = [...text.parentNode.querySelectorAll('rect')].map((bar) => bar.getBBox());
  return bars.some((bar) => bar.y < box.y + box.height && bar.y + bar.height > box.y &&
    bar.x + bar.width > box.x);
}).map((text) => text.textContent)"""


@pytest.mark.parametrize("name", NAMES)
def test_no_figure_stands_on_its_bar(still: dict[str, Any], name: str) -> None:
    """Whatever the amounts are: the room beside the bars is that of the longest text."""
    tab = still[name]
    assert tab.evaluate(OVER) == []
    tab.evaluate(f"document.querySelector('#picture-moves').innerHTML = lying({LONG}, 0)")
    assert tab.evaluate(OVER) == []
    tab.evaluate("show(answer({}, DATA.samples))")


@pytest.mark.parametrize("name", NAMES)
def test_a_phone_shows_finding_numbers_conditions_and_a_picture_first(still: dict[str, Any], name: str) -> None:
    for part in (".finding", ".numbers", "#picture-spread svg"):
        box = still[name].locator(part).bounding_box()
        assert box["y"] + box["height"] <= PHONE["height"], part
    assert "Other plans, as run: " in still[name].locator(".answered").inner_text()


@pytest.mark.parametrize("name", NAMES)
def test_it_prints_on_one_page(still: dict[str, Any], name: str) -> None:
    pdfium = pytest.importorskip("pypdfium2")
    still[name].emulate_media(color_scheme="dark")
    for paper in ("Letter", "A4"):
        printed = pdfium.PdfDocument(still[name].pdf(format=paper))
        assert len(printed) == 1
        text = " ".join(printed[0].get_textpage().get_text_bounded().split())
        for part in (
            "NPV, P10 to P90",
            "What must be true",
            "Settle first",
            "Before the first batch",
            "How known",
        ):
            assert part in text
    still[name].emulate_media(color_scheme="light")


def test_axe_finds_nothing_serious(still: dict[str, Any]) -> None:
    tab = still["thistle-flat"]
    tab.evaluate("for (const one of document.querySelectorAll('details')) one.open = true")
    assert violations(tab) == []
    tab.emulate_media(color_scheme="dark")
    assert violations(tab, "color-contrast") == []
    tab.emulate_media(color_scheme="light")
    tab.evaluate("for (const one of document.querySelectorAll('details')) one.open = false")


def test_without_a_script_the_answer_stands_and_no_slider_does(chrome: Any, made: dict[str, Path]) -> None:
    tab = opened(chrome, made["thistle-flat"], java_script_enabled=False)
    assert tab.locator(".no-script").is_visible()
    assert not tab.locator(".sliders").is_visible()
    assert tab.locator("#now-npv").inner_text()
    assert tab.locator("#picture-cash svg rect").count() > 5


def test_keys_move_a_slider_and_the_answer_with_it(chrome: Any, made: dict[str, Path]) -> None:
    tab = opened(chrome, made["thistle-flat"])
    before = tab.locator("#now-npv").inner_text()
    tab.locator("#slide-0").focus()
    for _ in range(6):
        tab.keyboard.press("ArrowLeft")
    tab.wait_for_function("(old) => document.getElementById('now-npv').textContent !== old", arg=before)
    sets = tab.locator("#sets").input_value()
    key = tab.evaluate("DATA.sliders[0].key")
    assert sets.startswith(f'--set {key}="')
    assert tab.evaluate("location.hash").startswith(f"#{key}=")
    assert tab.locator("#as-run").is_visible()
    assert tab.locator("#others-stale").is_visible()
    after = tab.locator("#now-npv").inner_text()
    again = chrome.new_context(viewport=PHONE).new_page()
    again.goto(tab.url)
    again.wait_for_selector("body.live")
    assert again.locator("#now-npv").inner_text() == after
    tab.locator("#back-0").click()
    tab.wait_for_function("(old) => document.getElementById('now-npv').textContent === old", arg=before)
    assert tab.locator("#sets").input_value() == ""


def test_a_typed_number_outside_its_range_is_refused_in_words(chrome: Any, made: dict[str, Path]) -> None:
    tab = opened(chrome, made["thistle-flat"])
    before = tab.locator("#now-npv").inner_text()
    tab.locator("#box-1").fill("99999")
    tab.locator("#box-1").blur()
    assert "Outside the range" in tab.locator("#why-1").inner_text()
    assert tab.locator("#now-npv").inner_text() == before


def test_a_hostile_name_stays_text(chrome: Any, tmp_path: Path) -> None:
    path = tmp_path / "hostile.html"
    path.write_text(document(appraise(plant(plant__name=HOSTILE, kiln__price="41000 USD"))), encoding="utf-8")
    tab = opened(chrome, path)
    assert tab.locator("h1").inner_text().startswith("</title></script><script>")
    assert tab.locator("img").count() == 0
    assert tab.title().startswith("</title>")


def test_a_rich_plant_of_forty_years_is_light() -> None:
    sets = {
        "money__study_years": "40 years", "loan__principal": "30000 USD", "loan__rate": "7 %",
        "loan__years": "30 years",
        "money__tax_rate": "25 %", "option__1__kind": "compost", "option__1__fee": "40 USD per short_ton",
        "option__2__kind": "landfill", "option__2__fee": "80 USD per short_ton", "kiln__life": "7 years",
    }  # fmt: skip
    assert len(document(appraise(plant(**sets))).encode("utf-8")) < MOST_BYTES


def test_carbon_at_the_values_typed_has_the_runs_beside_it() -> None:
    """At its values Low Sedge emits 0.03 t more than it stores, by the median of its runs a hundred times that."""
    results = appraise(plant("low-sedge"))
    low, middle, high = (value / 1000 for value in results.carbon("project_net_outward_kg_co2e"))
    assert middle < 50 * results.figures["project_net_kg_co2e"] / 1000 < 0
    span = f"{low:.1f} - {middle:.2f} - {high:.2f} t CO2e a year.".replace("-1", "−1").replace("-3", "−3")
    assert f"removal less emissions over the runs, P5 - median - P95: {span}".replace("-0", "−0") in document(
        results
    )


@pytest.mark.usefixtures("remembering")
def test_a_removal_that_is_not_reported_says_so_once_and_ends_have_four_figures() -> None:
    """Water given alone scales the others: 30 of 65 parts are 23.0769 (11.53846 to 30.69230) %."""
    odd = plant("thistle-flat", carbon__soil_temperature="26 degC", bones__1__water_share="50 %")
    text = document(appraise(odd))
    assert text.count("Not reported: soil temperature outside 5 to 25 °C") >= 2
    assert "not reported: not reported" not in text.lower()
    assert "11.54 to 30.69 %" in text


def test_the_command_writes_one_file_and_replaces_only_its_own(tmp_path: Path) -> None:
    from books import book

    run = CliRunner().invoke
    scenario = book(tmp_path / "my-plant.xlsx", {})
    target = tmp_path / "my-plant.page.html"
    assert run(app, ["page", str(scenario)]).exit_code == 0
    assert target.read_bytes().startswith(b"<!DOCTYPE html>")
    assert run(app, ["page", str(scenario), "--quiet", "--set", "kiln.price=41000 USD"]).exit_code == 0
    target.write_bytes(target.read_bytes().replace(b"Measure first", b"Buy at once"))
    refused = run(app, ["page", str(scenario)])
    assert refused.exit_code == 2
    assert "not as kilncase wrote it" in refused.stderr
    assert run(app, ["page", str(scenario), "--overwrite"]).exit_code == 0
    assert run(app, ["page", str(scenario), "--to", str(tmp_path / "x.pdf")]).exit_code == 2
    assert sealed(b"a", REMARK) == sealed(b"a", REMARK) != sealed(b"b", REMARK)


@pytest.mark.parametrize(
    ("value", "words"),
    [(64_624.9, "64,600"), (-21_341.9, "−21,300"), (0.0, "0"), (812.4, "812"), (45.07, "45.1"),
     (0.744, "0.744"), (999.7, "1,000"), (123_456, "123,000"), (-0.001, "−0.00100"), (12_250, "12,300")],
)  # fmt: skip
def test_money_has_three_figures(value: float, words: str) -> None:
    assert plain(value) == words
    assert money(value, "EUR") == f"{words} EUR"
