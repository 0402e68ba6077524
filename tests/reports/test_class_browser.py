"""A real browser opens the report: the figures it shows are those of the JSON.

Runs where there is a chromium; nothing is fetched, and its profile is thrown away.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

import axe_core_python
import pytest
from lxml import html
from results_world import drawn
from test_class_totals import room, told
from test_progress_report import made as progress_made
from test_progress_report import page as progress_page

from drill.reports.classpages import student_pages
from drill.reports.classreport import class_report
from drill.reports.data import json_lines
from drill.reports.html import page
from drill.wording.figures import percent

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser")
pytestmark = pytest.mark.skipif(BROWSER is None, reason="needs chromium")
ROOT = Path(__file__).resolve().parents[2]
TAKE = next((ROOT / "tests").rglob("alto-slips.ogg"))
NASTY = "<script>document.title='ran'</script>"


def browse(folder: Path, *options: str) -> bytes:
    """What a fresh headless browser puts on standard output for the page in the folder."""
    assert BROWSER is not None
    run = subprocess.run(
        [
            BROWSER, "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic",
            "--no-first-run", "--disable-background-networking", "--disable-component-update",
            "--disable-sync", f"--user-data-dir={folder / 'profile'}", "--hide-scrollbars",
            *options, f"file://{folder / 'class.html'}",
        ],
        capture_output=True,
        check=True,
        timeout=120,
    )  # fmt: skip
    return run.stdout


@pytest.fixture(scope="module")
def seen(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Path, Any, dict[str, Any]]]:
    folder = tmp_path_factory.mktemp("browser")
    students = [told(drawn(seed, 150, 0.3 + seed / 10), f"Student {seed}") for seed in (1, 2, 3)]
    made = room(*students, told(drawn(9, 40), NASTY), roster=("Student 1", "Otto Ottava"))
    (folder / "class.html").write_text(page(class_report(made)), encoding="utf-8")
    dom = html.fromstring(browse(folder, "--dump-dom").decode())
    yield folder, dom, json.loads("".join(json_lines(class_report(made))))
    shutil.rmtree(folder / "profile", ignore_errors=True)


def rows(dom: Any, section: str) -> list[list[str]]:
    """The texts of each body row of a section's tables, the name first."""
    found = dom.xpath(f"//section[@id='{section}']//tbody/tr")
    return [["".join(each.itertext()).strip() for each in row] for row in found]


def test_the_class_map_shows_the_json(seen: tuple[Path, Any, dict[str, Any]]) -> None:
    _, dom, data = seen
    keys = list(dict.fromkeys(each["written_key"] for each in data["squares"]))
    shown = rows(dom, "map")
    assert [row[0] for row in shown] == [f"written {key}" for key in keys]
    for row, key in zip(shown, keys, strict=True):
        squares = [each for each in data["squares"] if each["written_key"] == key]
        assert row[1:] == [
            f"{percent(each['recall'])} %{percent(each['share_right'])} % right · "
            f"{each['below_goal']} of {each['students']} below"
            for each in squares
        ]


def test_students_and_lessons_show_the_json(seen: tuple[Path, Any, dict[str, Any]]) -> None:
    _, dom, data = seen
    heads = ["".join(each.itertext()) for each in dom.xpath("//section[@id='students']//thead//th")]
    shown = {row[0]: dict(zip(heads, row, strict=True)) for row in rows(dom, "students")}
    for student in data["students"]:
        row = shown[student["name"]]
        assert row["By heart"] == str(student["by_heart"])
        assert row["Of"] == str(student["of"])
        share = student["share"]
        assert row["Share"] == ("-" if share is None else f"{percent(share)} %")
    assert [row[1].strip() for row in rows(dom, "teach")] == [
        f"{each['need']:.1f}" for each in data["teach"]
    ]
    slips = [(row[1], row[2]) for row in rows(dom, "slips")]
    assert slips == [(str(each["students"]), str(each["count"])) for each in data["slips"]]
    figures = {each.get("data-figure"): each.text for each in dom.xpath("//dd")}
    assert figures["answers"] == f"{data['asked']:,}"
    assert figures["students"] == str(len(data["students"]))


def test_nothing_of_a_name_ran(seen: tuple[Path, Any, dict[str, Any]]) -> None:
    _, dom, _ = seen
    assert dom.xpath("//title")[0].text == "Class report, 2031-03-14"
    assert dom.xpath("//script") == []
    assert NASTY in {row[0] for row in rows(dom, "students")}


def checked(folder: Path, source: str, scheme: int, width: int) -> list[str]:
    """What the checks of accessible pages find wrong with a page in a colour scheme, 0 dark.

    The page's policy lets nothing run, so that a copy without it is checked.
    """
    axe = (Path(axe_core_python.__file__).parent / "axe.min.js").read_text(encoding="utf-8")
    run = (
        "axe.run(document,{runOnly:['wcag2a','wcag2aa','wcag21a','wcag21aa','best-practice']})"
        ".then(r=>{document.title='found '+JSON.stringify(r.violations.map(v=>v.id))})"
    )
    bare = re.sub(r'<meta http-equiv="Content-Security-Policy"[^>]*>', "", source)
    page_ = bare.replace("</body>", f"<script>{axe}</script><script>{run}</script></body>")
    (folder / "class.html").write_text(page_, encoding="utf-8")
    dom = browse(folder, "--dump-dom", f"--window-size={width},900", "--virtual-time-budget=20000",
                 f"--blink-settings=preferredColorScheme={scheme}").decode()  # fmt: skip
    said = re.search(r"<title>found (.*?)</title>", dom)
    assert said, "the checks did not run"
    found = json.loads(unescape(said[1]))
    assert isinstance(found, list)
    return found


def take_page(folder: Path) -> str:
    """The page of a take, by the command itself."""
    words = [str(TAKE), "--pattern", "1-2-3-1", "--key", "E", "--instrument", "alto_sax",
             "--html", str(folder / "take.html")]  # fmt: skip
    subprocess.run([sys.executable, "-m", "drill", "take", *words], check=True, timeout=120,
                   cwd=ROOT, env={**os.environ, "DRILL_HOME": str(folder)})  # fmt: skip
    return (folder / "take.html").read_text(encoding="utf-8")


@pytest.mark.slow
@pytest.mark.parametrize("scheme", [0, 1], ids=["dark", "light"])
@pytest.mark.parametrize("width", [390, 1366])
def test_the_pages_are_accessible(tmp_path: Path, scheme: int, width: int) -> None:
    students = [told(drawn(seed, 150, 0.3 + seed / 10), f"Student {seed}") for seed in (1, 2, 3)]
    made = room(*students, roster=("Student 1", "Otto Ottava"))
    for source in (
        page(class_report(made)),
        page(student_pages(made)),
        progress_page(progress_made()),
        take_page(tmp_path),
    ):
        assert checked(tmp_path, source, scheme, width) == []


@pytest.mark.slow
def test_light_dark_and_print_are_drawn(seen: tuple[Path, Any, dict[str, Any]]) -> None:
    """Paper is light, the dark page is dark, and both hold more than paper."""
    import pypdfium2

    folder, _, _ = seen
    browse(folder, f"--print-to-pdf={folder / 'class.pdf'}", "--no-pdf-header-footer")
    document = pypdfium2.PdfDocument(folder / "class.pdf")
    printed = "".join(sheet.get_textpage().get_text_bounded() for sheet in document)
    assert "To teach next" in printed
    assert "Student 3" in printed
    paper = document[0].render(scale=1).to_numpy()
    assert paper[2, 2].min() == 255
    assert (paper < 64).mean() > 0.005

    def darkness(scheme: str) -> float:
        target = folder / f"{scheme}.png"
        browse(folder, f"--screenshot={target}", "--window-size=900,700",
               f"--blink-settings=preferredColorScheme={0 if scheme == 'dark' else 1}")  # fmt: skip
        from PIL import Image

        with Image.open(target) as image:
            grey = image.convert("L")
            assert len(grey.getcolors(256) or ()) > 20
            return float(grey.getpixel((2, 2)))  # type: ignore[arg-type]

    assert darkness("dark") < 60
    assert darkness("light") > 200
