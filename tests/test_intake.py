"""Taking work in: whose it is, what can be read of it, and how it is put on the released exercise."""

from __future__ import annotations

import base64
import io
import json
import sys
import zipfile
from collections.abc import Sequence
from pathlib import Path

import pytest
from grading_runs import ROOT
from nbformat import NotebookNode, convert, reads, v3, v4
from PIL import Image

from phasorkit.cli import main
from phasorkit.course.grading.archive import MAX_MEMBERS, ArchiveError, opened
from phasorkit.course.grading.handed_in import MAX_BYTES, Cell, HandedIn, IntakeError, read_cells, read_file
from phasorkit.course.grading.intake import exercise_named, match
from phasorkit.course.grading.notebooks import dump, grade_id, load
from phasorkit.course.grading.raster import picture
from phasorkit.course.grading.rebuild import Master, put_on_release, rebuild

EXERCISES = ("bridge", "double-bridge")
RELEASE = (ROOT / "exercises" / "bridge" / "bridge.ipynb").read_bytes()


def put(folder: Path, *names: str) -> None:
    for name in names:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(name.encode())


# Whose work is which file ------------------------------------------------------------------------------------------


def test_the_three_layouts_are_matched_mixed(tmp_path: Path) -> None:
    """Layouts as nbgrader's collecting step and instructors' folders have them (common practice)."""
    put(tmp_path, "app-01/bridge.ipynb", "app-02/bridge/bridge.ipynb", "app-03_bridge.ipynb")
    put(tmp_path, "app_04_double-bridge.ipynb", "app-02/bridge/timestamp.txt", ".hidden/bridge.ipynb")
    submissions, refused = match(tmp_path, EXERCISES)
    found = [(s.learner, s.exercise, s.timestamp is not None) for s in submissions]
    assert found == [
        ("app-01", "bridge", False),
        ("app-02", "bridge", True),
        ("app-03", "bridge", False),
        ("app_04", "double-bridge", False),
    ]
    assert refused == []


@pytest.mark.parametrize(
    ("name", "reason"),
    [
        ("app-01/other.ipynb", "not an exercise of this course (bridge, double-bridge)"),
        ("app-01/other/other.ipynb", "not an exercise of this course"),
        ("app-01/notes.txt", "holds no notebook of this course"),
        ("bridge.ipynb", "not named learner_exercise.ipynb"),
        ("class.zip", "is not a notebook named learner_exercise"),
        ("=cmd_bridge.ipynb", "no usable learner id"),
        ("app-01./bridge.ipynb", "no usable learner id"),
        ("app-01/bridge/other.ipynb", "holds no bridge.ipynb"),
    ],
)
def test_what_cannot_be_matched_is_named_with_the_reason(tmp_path: Path, name: str, reason: str) -> None:
    put(tmp_path, name)
    submissions, refused = match(tmp_path, EXERCISES)
    assert submissions == []
    assert [reason in item.reason for item in refused] == [True]


def test_two_files_for_the_same_work_are_not_guessed(tmp_path: Path) -> None:
    put(tmp_path, "app-01/bridge.ipynb", "App-01_bridge.ipynb", "app-02/bridge.ipynb")
    submissions, refused = match(tmp_path, EXERCISES)
    assert [s.learner for s in submissions] == ["app-02"]
    assert len(refused) == 1
    assert "App-01_bridge.ipynb" in refused[0].reason
    assert "app-01/bridge.ipynb" in refused[0].reason.replace("\\", "/")


@pytest.mark.skipif(sys.platform == "win32", reason="making links needs a right of its own there")
def test_links_are_not_followed(tmp_path: Path) -> None:
    secret = tmp_path / "secret.ipynb"
    put(tmp_path, "secret.ipynb", "inbox/app-02/bridge.ipynb")
    (tmp_path / "inbox" / "app-01_bridge.ipynb").symlink_to(secret)
    (tmp_path / "inbox" / "app-03").symlink_to(tmp_path / "inbox" / "app-02")
    (tmp_path / "inbox" / "app-02" / "double-bridge.ipynb").symlink_to(secret)
    submissions, refused = match(tmp_path / "inbox", EXERCISES)
    assert [r.reason for r in refused] == ["is a link, so it was not followed"]
    read = {(s.learner, s.exercise): read_file(s.path) for s in submissions}
    assert set(read) == {("app-01", "bridge"), ("app-02", "bridge"), ("app-02", "double-bridge")}
    for linked in (("app-01", "bridge"), ("app-02", "double-bridge")):
        assert read[linked] == HandedIn(b"", trouble="is a link or not a regular file, so it was not opened")


def test_names_that_systems_and_browsers_give_still_tell_the_exercise(tmp_path: Path) -> None:
    """Copies, downloads and hidden endings, as file managers and browsers name them (common practice)."""
    for name in ("bridge (1).ipynb", "bridge-Copy1.ipynb", "Bridge.ipynb.txt", "bridge - Copy (2).ipynb", "bridge.zip"):
        assert exercise_named(name, EXERCISES) == ("bridge", ""), name
    assert exercise_named("app_7_double-bridge (2).ipynb.json", EXERCISES) == ("double-bridge", "app_7")
    for name in ("footbridge.ipynb", "bridge2.ipynb", "bridges.ipynb", "copy.ipynb", ".ipynb", "bridge_x.ipynb"):
        assert exercise_named(name, EXERCISES) is None, name
    put(tmp_path, "app-01/bridge (1).ipynb", "app-02/bridge/bridge-Copy1.ipynb")
    assert [(s.learner, s.path.name) for s in match(tmp_path, EXERCISES)[0]] == [
        ("app-01", "bridge (1).ipynb"),
        ("app-02", "bridge-Copy1.ipynb"),
    ]


def test_the_same_file_twice_is_taken_once(tmp_path: Path) -> None:
    put(tmp_path, "app-01/bridge.ipynb")
    (tmp_path / "app-01_bridge.ipynb").write_bytes((tmp_path / "app-01" / "bridge.ipynb").read_bytes())
    submissions, refused = match(tmp_path, EXERCISES)
    assert (len(submissions), refused) == (1, [])


def test_names_of_a_learning_platform_and_a_folder_around_all(tmp_path: Path) -> None:
    """Name, number, words of the platform (common practice), as folders or in front of the file's own name."""
    put(tmp_path, "class/Learner, One_12345_assignsubmission_file_/bridge.ipynb")
    put(tmp_path, "class/Learner Two_12346_file_bridge.ipynb", "class/Learner Three_12347_onlinetext_/x.html")
    submissions, refused = match(tmp_path, EXERCISES)
    assert [(s.learner, s.layout) for s in submissions] == [("Learner One", "platform"), ("Learner Two", "platform")]
    assert [r.reason[:17] for r in refused] == ["holds no notebook"]


def test_a_learners_own_folder_is_not_taken_for_a_folder_around_all(tmp_path: Path) -> None:
    put(tmp_path, "app-01/bridge.ipynb", "app-01/pictures/sheet.png")
    submissions, refused = match(tmp_path, EXERCISES)
    assert [s.learner for s in submissions] == ["app-01"]
    assert [r.path.name for r in refused] == ["pictures"]


# A zip file ---------------------------------------------------------------------------------------------------------


def zip_of(file: Path, members: dict[str, bytes], compression: int = zipfile.ZIP_DEFLATED) -> Path:
    with zipfile.ZipFile(file, "w", compression) as archive:
        for name, data in members.items():
            archive.writestr(name, data)
    return file


def test_a_zip_file_is_matched_like_a_folder_and_leaves_nothing_behind(tmp_path: Path) -> None:
    members = {f"Learner {n}_{n * 111}_file_/bridge.ipynb": RELEASE for n in (1, 2)}
    members["Learner 3_333_file_/bridge.pdf"] = b"%PDF"
    with opened(zip_of(tmp_path / "class.zip", members), EXERCISES) as (folder, left_out):
        assert left_out == []
        submissions, refused = match(folder, EXERCISES)
        assert [(s.learner, read_file(s.path).trouble[:17]) for s in submissions] == [
            ("Learner 1", ""),
            ("Learner 2", ""),
            ("Learner 3", "is not a notebook"),
        ]
        assert refused == []
    assert not folder.exists()
    assert [p.name for p in tmp_path.iterdir()] == ["class.zip"]


@pytest.mark.parametrize(
    ("name", "data", "reason"),
    [
        ("../app-01_bridge.ipynb", b"x", "points out of its folder"),
        ("app/../../app-01_bridge.ipynb", b"x", "points out of its folder"),
        ("/tmp/app-01_bridge.ipynb", b"x", "points out of its folder"),
        ("C:\\x\\app-01_bridge.ipynb", b"x", "points out of its folder"),
        ("\\\\host\\app-01_bridge.ipynb", b"x", "points out of its folder"),
        ("a/b/c/d/e/f/g/h/i/bridge.ipynb", b"x", "has a name that no notebook has"),
        ("app-01/sheet.pdf", b"x", "is not a notebook"),
        ("app-01/bridge.ipynb", bytes(15_000_000), "would grow more than 200 times"),
        ("app-01/bridge.ipynb", bytes(MAX_BYTES + 1), "has 20 MB, more than the 20 MB"),
    ],
)
def test_what_an_archive_must_not_do_is_left_out(tmp_path: Path, name: str, data: bytes, reason: str) -> None:
    inside = tmp_path / "inside"
    archive = zip_of(tmp_path / "class.zip", {name: data, "app-02/bridge.ipynb": b"{}"})
    with opened(archive, EXERCISES) as (folder, left_out):
        assert [reason in item.reason for item in left_out] == [True]
        assert all(item.path.is_relative_to(folder) for item in left_out)
        assert [str(p.relative_to(folder)) for p in folder.rglob("*.ipynb")] == [str(Path("app-02/bridge.ipynb"))]
    assert sorted(p.name for p in tmp_path.iterdir()) == ["class.zip"], inside


def test_a_name_longer_than_a_system_takes_stops_nobody(tmp_path: Path) -> None:
    """255 bytes are the most for Linux (`man 7 path_resolution`: NAME_MAX); a letter may have three or four."""
    long = f"{'名' * 40}_12345_{'作' * 60}_bridge.ipynb"
    assert len(long.encode()) > 255
    archive = zip_of(tmp_path / "class.zip", {long: b"{}", "../..": b"x", "app-02_bridge.ipynb": b"{}"})
    with opened(archive, EXERCISES) as (folder, left_out):
        assert [(p.path.name, p.reason[:7]) for p in left_out] == [("file", "points ")]
        names = sorted(p.name for p in folder.iterdir())
        assert names[0] == "app-02_bridge.ipynb"
        assert names[1].endswith("_bridge.ipynb")
        assert len(names[1].encode()) <= 200


def test_links_doubles_and_locked_members_are_left_out(tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "class.zip", "w") as archive:
        link = zipfile.ZipInfo("app-01/bridge.ipynb")
        link.external_attr = 0o120777 << 16
        archive.writestr(link, "/etc/passwd")
        archive.writestr("app-02/bridge.ipynb", b"one")
        with pytest.warns(UserWarning, match="Duplicate name"):
            archive.writestr("app-02/bridge.ipynb", b"two")
        archive.writestr("app-03/bridge.ipynb", b"three")
    raw = bytearray((tmp_path / "class.zip").read_bytes())
    raw[raw.rindex(b"PK\x01\x02") + 8] |= 1  # says that the last member is encrypted
    (tmp_path / "class.zip").write_bytes(raw)
    with opened(tmp_path / "class.zip", EXERCISES) as (folder, left_out):
        assert [item.reason.split(",")[0] for item in left_out] == [
            "is a link",
            "is in the archive twice under one name; the first one was taken",
            "is locked by a password",
        ]
        assert [p.read_bytes() for p in folder.rglob("*.ipynb")] == [b"one"]


def test_names_in_the_code_of_an_old_program_are_read_as_meant(tmp_path: Path) -> None:
    """Some programs write UTF-8 names without the bit that says so (PKWARE APPNOTE 6.3, general purpose bit 11)."""
    archive = zip_of(tmp_path / "class.zip", {"äpp-01/bridge.ipynb": b"{}"})
    raw = archive.read_bytes()
    for signature, place in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        at = raw.index(signature) + place + 1
        raw = raw[:at] + bytes([raw[at] & ~0x08]) + raw[at + 1 :]
    archive.write_bytes(raw)
    with opened(archive, EXERCISES) as (folder, _):
        assert [s.learner for s in match(folder, EXERCISES)[0]] == ["äpp-01"]


def test_what_is_no_archive_or_holds_too_much_is_one_clear_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "page.zip").write_bytes(b"<html>")
    assert main(["grade", str(tmp_path / "page.zip"), "--preview"]) == 2
    assert "cannot be opened as a zip archive" in capsys.readouterr().err
    many = zip_of(tmp_path / "many.zip", {f"{n}.txt": b"" for n in range(MAX_MEMBERS + 1)}, zipfile.ZIP_STORED)
    with pytest.raises(ArchiveError, match="20001 files"), opened(many, EXERCISES):
        pass


def test_the_preview_tells_what_is_matched_and_writes_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    put(tmp_path, "inbox/app-02/notes.txt", "inbox/app-03/bridge.ipynb")
    work = RELEASE.replace(b'learner=\\"\\"', b'learner=\\"app-01\\"')
    (tmp_path / "inbox" / "app-01_bridge.ipynb").write_bytes(work)
    (tmp_path / "inbox" / "app-04_bridge.ipynb").write_bytes(work)
    before = sorted(tmp_path.rglob("*"))
    assert main(["grade", str(tmp_path / "inbox"), "--preview"]) == 1
    said = capsys.readouterr().out
    assert "  app-01  bridge  app-01_bridge.ipynb\n" in said
    assert "is not a notebook (there is no JSON in it): the empty exercise, no marks" in said
    assert "app-04_bridge.ipynb  ? its begin cell says learner 'app-01'" in said
    assert "  app-02  holds no notebook of this course" in said
    assert "3 matched (2 from one flat folder, 1 from a folder per learner), 3 learners; 1 not matched." in said
    assert sorted(tmp_path.rglob("*")) == before


# What can be read of a file ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("raw", "reason"),
    [
        (b"", "is empty"),
        (b" \n", "is empty"),
        (b"<html>", "not a notebook"),
        (b"PK\x03\x04\xff\xfe", "zip archive under the name of a notebook"),
        (b'{"nbformat": 4, "cells": [', "cut short"),
        (b'{"a":' * 100_000, "damaged"),
        (b"[1]", "no notebook"),
        (b'{"nbformat": 3, "worksheets": []}', "without any cell"),
        (b'{"nbformat": 4}', "has no cells"),
        (b'{"nbformat": 4, "cells": [1]}', "no cell that can be read"),
        (b'{"nbformat": 4, "cells": [{"cell_type": "code", "source": 7}]}', "no cell that can be read"),
        (b'{"nbformat": 4, "cells": [' + b"1," * 1001 + b"1]}", "1002 cells"),
        (b'{"nbformat": 3, "worksheets": [7]}', "cannot be converted"),
        (b"\xff\xfe" + b"\xd8\x00" * 3 + b"\0", "not text"),
    ],
)
def test_a_file_that_is_no_notebook_gets_a_reason(raw: bytes, reason: str) -> None:
    with pytest.raises(IntakeError, match=reason):
        read_cells(raw)


def test_a_file_that_is_too_large_is_not_read(tmp_path: Path) -> None:
    file = tmp_path / "bridge.ipynb"
    with file.open("wb") as stream:
        stream.truncate(50_000_000)
    assert read_file(file) == HandedIn(b"", trouble="has 50 MB, more than the 20 MB that are opened")


def test_strange_metadata_is_no_obstacle() -> None:
    """A byte order mark, metadata of a wrong kind, a grade id that is no text: the cells are still read."""
    cells = [
        {"cell_type": "code", "source": "x", "metadata": m}
        for m in (None, [], {"nbgrader": 3}, {"nbgrader": {"grade_id": 5}})
    ]
    raw = b"\xef\xbb\xbf" + json.dumps({"nbformat": 4, "cells": cells}).encode()
    assert read_cells(raw).cells == (Cell("code", "x", None),) * 4


@pytest.mark.parametrize(
    ("encoding", "remark"),
    [
        ("utf-8", []),
        ("utf-8-sig", []),
        ("utf-16", ["its text was in UTF-16"]),
        ("utf-16-le", ["its text was in UTF-16"]),
        ("utf-16-be", ["its text was in UTF-16"]),
        ("utf-32", ["its text was in UTF-32"]),
        ("latin-1", ["its text was in CP1252"]),
        ("cp1252", ["its text was in CP1252"]),
    ],
)
def test_encodings_that_editors_write_are_read(encoding: str, remark: list[str]) -> None:
    cells = [{"cell_type": "code", "source": "weg = 'Größe'", "metadata": {}}]
    text = json.dumps({"nbformat": 4, "cells": cells}, ensure_ascii=False)
    handed = read_cells(text.encode(encoding))
    assert handed.cells == (Cell("code", "weg = 'Größe'", None),)
    assert list(handed.remarks) == remark


@pytest.mark.parametrize("version", [2, 3])
def test_old_formats_are_converted(version: int) -> None:
    """Written by nbformat itself: worksheets, `input` for `source`, headings; grade ids survive."""
    old = json.loads(v3.writes_json(convert(reads(RELEASE.decode(), 4), 3)))
    handed = read_cells(json.dumps({**old, "nbformat": version}).encode())
    new = read_cells(RELEASE)
    assert [(c.grade_id, c.source.strip()) for c in handed.cells] == [(c.grade_id, c.source.strip()) for c in new.cells]
    assert handed.remarks == (f"it was in the old format {version}, and was converted",)


def test_a_file_that_ends_too_early_gives_the_cells_before_that(master: Master) -> None:
    whole = read_cells(RELEASE)
    for share in (0.3, 0.6, 0.95):
        handed = read_cells(RELEASE[: int(share * len(RELEASE))])
        assert 0 < len(handed.cells) < len(whole.cells)
        assert handed.cells == whole.cells[: len(handed.cells)]
        assert f"only its first {len(handed.cells)} cells could be read" in handed.remarks[0]
    _, flags = put_on_release(HandedIn(b"x", (HONEST[0],), ("it was in the old format 3, and was converted",)), master)
    assert flags[0].kind == "rescued"


def png(width: int, height: int) -> bytes:
    stream = io.BytesIO()
    Image.new("1", (width, height)).save(stream, "PNG")
    return stream.getvalue()


def test_pictures_pass_only_when_they_are_what_they_say() -> None:
    good = base64.b64encode(png(3, 2)).decode()
    assert picture("image/png", good) == good
    assert picture("image/png", [good[:10] + "\n", good[10:]]) == good
    svg = base64.b64encode(b"<svg onload='alert(1)'/>").decode()
    huge = base64.b64encode(png(9000, 5000)).decode()
    for kind, text in (
        ("image/svg+xml", svg), ("image/png", svg), ("image/jpeg", good), ("text/html", good), ("image/png", huge),
        ("image/png", good + '"><script>'), ("image/png", 7), ("image/png", "ä"), ("image/png", ""),
    ):  # fmt: skip
        assert picture(kind, text) == "", (kind, str(text)[:20])


def test_photographs_in_text_cells_are_kept_and_other_attachments_are_not(master: Master) -> None:
    good = base64.b64encode(png(3, 2)).decode()
    attachments = {"sheet.png": {"image/png": good}, "x.svg": {"image/svg+xml": "PHN2Zy8+"}, "y": 3}
    cell = {"cell_type": "markdown", "source": "![](attachment:sheet.png)", "metadata": {}, "attachments": attachments}
    handed = read_cells(json.dumps({"nbformat": 4, "cells": [cell]}).encode())
    assert handed.cells[0].pictures == {"sheet.png": {"image/png": good}}
    notebook = load(rebuild(handed.cells, master)[0])
    assert [c.attachments for c in notebook.cells if "attachments" in c] == [{"sheet.png": {"image/png": good}}]


# The learner's work on the released exercise -----------------------------------------------------------------------


def released(kind: str, name: str, source: str) -> NotebookNode:
    make = v4.new_code_cell if kind == "code" else v4.new_markdown_cell
    return make(source, metadata={"nbgrader": {"grade_id": name, "locked": not name.endswith("answer")}})


@pytest.fixture
def master() -> Master:
    cells = [
        released("markdown", "text", "Work."),
        released("code", "a-answer", "a = None"),
        released("code", "a-check", 'check("a")'),
        released("code", "b-check", 'check("b")'),
    ]
    locked = {"text": "Work.", "a-check": 'check("a")', "b-check": 'check("b")'}
    return Master("x", dump(v4.new_notebook(cells=cells)), locked, {"a-check": "a", "b-check": "b"})


def rebuilt(cells: Sequence[Cell], master: Master) -> tuple[list[tuple[str, str, str]], list[str]]:
    notebook, flags = rebuild(cells, master)
    return [(c.cell_type, grade_id(c), c.source) for c in load(notebook).cells], [f.kind for f in flags]


HONEST = [
    Cell("markdown", "Work.", "text"),
    Cell("code", "a = 2", "a-answer"),
    Cell("code", "note = 1", None),
    Cell("code", 'check("a")', "a-check"),
    Cell("code", 'check("b")', "b-check"),
]


def test_honest_work_comes_through_unchanged(master: Master) -> None:
    cells, flags = rebuilt(HONEST, master)
    assert [(c[0], c[2]) for c in cells] == [(c.cell_type, c.source) for c in HONEST]
    assert flags == []


def test_an_edited_check_cell_is_the_released_one_again(master: Master) -> None:
    edited = [*HONEST[:3], Cell("code", "3.0", "a-check"), Cell("markdown", "gone", "b-check")]
    cells, flags = rebuilt(edited, master)
    assert cells[3:] == [("code", "a-check", 'check("a")'), ("code", "b-check", 'check("b")')]
    assert flags == ["edited", "retyped", "edited"]


def test_missing_neighbours_come_back_in_place(master: Master) -> None:
    """nbgrader's own way to add missing cells fails when two neighbours are missing. Checks come behind extra cells."""
    cells, flags = rebuilt(HONEST[1:3], master)
    assert [c[1] for c in cells] == ["text", "a-answer", "", "a-check", "b-check"]
    assert flags == ["missing"]


def test_a_missing_answer_cell_is_not_replaced_by_its_stub(master: Master) -> None:
    """The stub ``a = None`` would undo an answer given in another cell."""
    cells, flags = rebuilt([HONEST[0], Cell("code", "a = 2", None), *HONEST[3:]], master)
    assert ("code", "a-answer", "a = None") not in cells
    assert cells[1:4] == [("code", "a-answer", ""), ("code", "", "a = 2"), ("code", "a-check", 'check("a")')]
    assert flags == ["missing"]


def test_of_two_cells_with_one_name_the_last_counts(master: Master) -> None:
    cells, flags = rebuilt([Cell("code", "a = 1", "a-answer"), *HONEST], master)
    assert cells[0] == ("code", "", "a = 1")
    assert ("code", "a-answer", "a = 2") in cells
    assert flags == ["doubled"]
