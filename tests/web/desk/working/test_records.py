"""Records by their pages: taken in, frozen, every outcome and row, laid on trails, held against."""

import base64
import hashlib
import io
import re
import zipfile
from dataclasses import replace
from pathlib import Path
from urllib.parse import unquote

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from tests.web.working_audit import FILES, run_at_once, sent

from witnessmark.audit.actions.make_observation import MakeObservation
from witnessmark.errors import UnusableInputError

SLUG = "gauge-overdue"


@pytest.fixture(autouse=True)
def at_once(monkeypatch):
    monkeypatch.setenv("XDG_CONFIG_HOME", "/nonexistent")  # no pseudonym key may be needed here
    run_at_once(monkeypatch)


def take_in(audit, exports, **told):
    return audit.post("take-in", exports=exports, purpose="audit", **told)


@pytest.fixture
def freeze(audit):
    """The identity of the small plant's freeze, taken in by its pages."""
    answer = take_in(audit, sent())
    assert answer.status_code == 302, answer.content.decode()
    page = audit.client().get(answer.headers["Location"]).content.decode()
    assert "are taken in; 1 row refused." in page, page.split("<h1>")[1]
    (identity,) = audit.state.freezes
    return identity


def uploads_left():
    from django.conf import settings

    return list(settings.CONFIG.data.jobs.glob("upload-*"))


def test_records_are_frozen_tested_and_entered(audit, freeze):
    item = audit.state.freezes[freeze]
    assert (item.outcomes[SLUG].exceptions, item.outcomes[SLUG].assessed) == (2, 2)
    assert item.outcomes[SLUG].digest
    assert uploads_left() == []
    assert "Small plant" in audit.page("records")
    page = audit.page("freeze", freeze)
    for text in ("Gauges", "2 of 2", "checks.csv", freeze, "nonsense", "How to mend them"):
        assert text in page, text


def test_an_outcome_shows_its_numbers_criteria_and_rows(audit, freeze):
    page = audit.page("outcome", freeze, SLUG)
    for text in ("2 of 2 assessed units are exceptions", "between", "Where it can be wrong"):
        assert text in page, text
    assert "default, not the plant’s rule" in page
    assert audit.url("row", freeze, SLUG) in page
    assert audit.get("outcome", freeze, "no-such-test").status_code == 404


def test_a_row_leads_to_the_ribbon_of_its_machine_and_day(audit, freeze):
    bare = audit.page("row", freeze, SLUG, ref="c1/10/1")
    assert "Draw its day" in bare
    assert "<svg" not in bare.split("<main")[1]
    drawn = audit.page("row", freeze, SLUG, ref="c1/10/1", draw="1")
    assert "Machine T1-01 on the production day" in drawn
    assert "2026-03-03 09:00" in drawn
    assert audit.get("row", freeze, SLUG, ref="c9/10/1").status_code == 404
    part = audit.client().get(
        audit.url("row", freeze, SLUG, ref="c1/10/1", draw="1"), headers={"HX-Request": "true"}
    )
    assert part.content.decode().startswith('<figure class="ribbon">')


@pytest.mark.parametrize("kind", ["outcome", "row", "stratum"])
def test_a_trail_opens_from_an_outcome_a_row_or_a_part(audit, freeze, kind):
    token = {
        "outcome": f"outcome:{freeze}:{SLUG}",
        "row": f"row:{freeze}:{SLUG}:c1/10/1",
    }.get(kind) or _stratum_token(audit, freeze)
    assert "gauge" in audit.page("open-trail", **{"from": token})
    audit.post(
        "open-trail", **{"from": token}, proposition="P", highest_grade="minor", bears="for",
        group="records",
    )  # fmt: skip
    (trail,) = audit.state.trails.values()
    cited = trail.evidence[0].cited
    assert (cited.kind, cited.freeze, cited.slug) == (kind, freeze, SLUG)
    assert cited.digest == audit.state.freezes[freeze].outcomes[SLUG].digest
    if kind == "row":
        assert (cited.ref, cited.exceptions) == ("c1/10/1", None)
    else:
        assert (cited.exceptions, cited.assessed) == (2, 2)
    back = re.search(r'class="laid">.*?href="([^"]+)"', audit.page("spine")).group(1)
    assert audit.client().get(back.replace("&amp;", "&")).status_code == 200
    assert "On the trails" in audit.page("outcome", freeze, SLUG)


def _stratum_token(audit, freeze):
    page = audit.page("outcome", freeze, SLUG)
    found = re.search(r"from=(stratum%3A[^\"&]+)", page) or re.search(
        r"from=(stratum:[^\"&]+)", page
    )
    return unquote(found.group(1))


def test_the_working_paper_carries_its_own_style_and_may_do_nothing_else(audit, freeze):
    answer = audit.get("working-paper", freeze)
    policy = answer.headers["Content-Security-Policy"]
    (style,) = re.findall(rb"<style>(.*?)</style>", answer.content, re.DOTALL)
    digest = base64.b64encode(hashlib.sha256(style).digest()).decode()
    assert f"style-src 'sha256-{digest}'" in policy
    for word in ("default-src 'none'", "sandbox", "frame-ancestors 'none'"):
        assert word in policy
    assert "unsafe" not in policy
    assert b"style=" not in answer.content
    assert b"<script" not in answer.content


def test_refused_rows_are_for_the_team(audit, freeze):
    answer = audit.get("refused-rows", freeze)
    assert b"nonsense" in b"".join(answer.streaming_content)
    assert answer.headers["Content-Disposition"].startswith("attachment")
    mend = re.search(r"refused/\?file=([^\"]+)", audit.page("freeze", freeze)).group(1)
    one = audit.get("refused-rows", freeze, file=mend)
    assert b"c2" in b"".join(one.streaming_content)
    for name in ("../manifest.json", "/etc/hostname", "x"):
        assert audit.get("refused-rows", freeze, file=name).status_code == 404, name
    assert audit.get("refused-rows", freeze, as_="observer").status_code == 403
    assert audit.get("freeze", freeze, as_="observer").status_code == 200


def test_the_same_records_twice_are_one_freeze_counted_again(audit, freeze):
    take_in(audit, sent())
    assert list(audit.state.freezes) == [freeze]


def test_a_freeze_of_another_audit_is_not_shown(audit, freeze):
    for identity in ("0" * 32, "x", "manifest"):
        assert audit.get("freeze", identity).status_code == 404
    audit.state.freezes.pop(freeze)
    assert audit.get("freeze", freeze).status_code == 404


def zipped(files):
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as file:
        for name, text in files.items():
            file.writestr(name, text)
    return SimpleUploadedFile("exports.zip", packed.getvalue())


def test_one_zip_with_a_folder_in_it_gives_the_same_freeze(audit, freeze):
    files = {f"week 27/{name}": text for name, text in FILES.items()}
    take_in(audit, [zipped(files | {"__MACOSX/._x": "x", "week 27/.hidden": "y"})])
    assert list(audit.state.freezes) == [freeze]


def test_what_a_zip_calls_its_files_leads_nowhere_else(audit, web):
    from witnessmark.web.desk.working.uploads import (
        forget_upload,
        keep_upload,
    )

    files = {"../../../outside.csv": "a\n", "/abs/runs.csv": "a\n", "c:\\x\\machines.csv": "a\n"}
    folder = keep_upload([zipped(files | {"plant.toml": FILES["plant.toml"]})])
    found = sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*.csv"))
    assert len(found) == 3
    assert all(".." not in name for name in found)
    assert not list(web.path.parent.glob("outside.csv"))
    forget_upload(folder)
    assert uploads_left() == []


def test_a_zip_that_unpacks_to_too_much_is_refused(audit, monkeypatch):
    from django.conf import settings

    monkeypatch.setattr(settings, "CONFIG", replace(settings.CONFIG, records_limit=1000))
    answer = take_in(audit, [zipped({"runs.csv": "x" * 20_000, **FILES})])
    assert "unpacks to more than is taken" in answer.content.decode()
    assert uploads_left() == []


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"plant.toml": None}, "it was not sent with the exports"),
        ({"notes.docx": "x"}, "neither an export nor a setting"),
        ({"broken.zip": "x"}, "cannot be unpacked"),
    ],
)
def test_what_cannot_be_used_is_said_before_anything_is_done(audit, change, said):
    files = {name: text for name, text in (FILES | change).items() if text is not None}
    answer = take_in(audit, sent(files))
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert uploads_left() == []
    assert audit.state.freezes == {}


def test_two_files_of_one_name_are_refused(audit):
    answer = take_in(audit, [*sent(), SimpleUploadedFile("a/checks.csv", b"x\n1\n")])
    assert "two files of this name" in answer.content.decode()


def test_neither_files_nor_a_folder_asks_for_one(audit):
    assert "Choose files, or name a folder." in take_in(audit, []).content.decode()


def test_what_fails_later_says_why_on_its_page_and_names_no_folder(audit, web):
    answer = take_in(audit, sent(FILES | {"unknown_table.csv": "a\n1\n"}))
    page = audit.client().get(answer.headers["Location"]).content.decode()
    assert "unknown_table" in page
    assert "Mend it and take them in again" in page
    assert str(web.path) not in page
    assert audit.state.freezes == {}
    assert uploads_left() == []


@pytest.fixture
def roots(tmp_path, monkeypatch):
    """A folder below which this installation reads, with the small plant in it."""
    from django.conf import settings

    inside = tmp_path / "allowed" / "plant"
    inside.mkdir(parents=True)
    for name, text in FILES.items():
        (inside / name).write_text(text, encoding="utf-8")
    changed = replace(settings.CONFIG, record_folders=(tmp_path / "allowed",))
    monkeypatch.setattr(settings, "CONFIG", changed)
    return tmp_path


def test_a_folder_below_a_listed_one_is_read_in_place_and_only_read(audit, roots):
    before = sorted(Path(roots).rglob("*"))
    answer = take_in(audit, [], folder=str(roots / "allowed" / "plant"))
    assert answer.status_code == 302, answer.content.decode()
    assert len(audit.state.freezes) == 1
    assert sorted(Path(roots).rglob("*")) == before


def test_a_folder_anywhere_else_is_refused(audit, roots, web):
    (roots / "allowed" / "link").symlink_to(roots)
    for folder in ("/etc", str(roots), str(roots / "allowed" / ".."), str(roots / "allowed/link"),
                   str(web.path), "relative", str(roots / "allowed" / "none")):  # fmt: skip
        answer = take_in(audit, [], folder=folder)
        assert answer.status_code == 422, folder
    assert audit.state.freezes == {}


def test_a_server_without_listed_folders_asks_for_none(audit, monkeypatch):
    from django.conf import settings

    monkeypatch.setattr(settings, "CONFIG", replace(settings.CONFIG, record_folders=()))
    assert 'name="folder"' not in audit.page("take-in")
    answer = take_in(audit, [], folder="/etc")
    assert answer.status_code == 422
    assert audit.state.freezes == {}


def test_what_was_seen_is_held_against_the_records_of_that_moment(audit, freeze):
    told = {"grid": {"T1-01": "running", "T1-02": "running"}}
    seen = audit.do(MakeObservation(form="round", values=told, seen_at="2026-03-03T10:00:00Z"))
    answer = audit.post("hold-against", freeze)
    page = audit.client().get(answer.headers["Location"]).content.decode()
    assert "2 answers compared; 1 contradict" in page.replace("\u202f", " ")
    results = {c.field_name: c.result for c in audit.state.observations[seen].compared}
    assert results == {"grid/T1-01": "agrees", "grid/T1-02": "contradicts"}
    assert "The records do not show when the machines run. Seen: T1-02." in audit.page(
        "seen-item", seen
    )
    audit.post("hold-against", freeze)
    assert len(audit.state.observations[seen].compared) == 2
    assert audit.post("hold-against", freeze, as_="observer").status_code == 403


def test_work_of_another_is_not_shown(audit):
    answer = take_in(audit, sent())
    assert audit.client("auditor").get(answer.headers["Location"]).status_code == 404


def test_an_upload_folder_is_only_removed_where_uploads_lie(audit, tmp_path):
    from witnessmark.web.desk.working.uploads import (
        forget_upload,
        keep_upload,
    )

    other = tmp_path / "upload-x" / "records"
    other.mkdir(parents=True)
    forget_upload(other)
    assert other.is_dir()
    with pytest.raises(UnusableInputError):
        keep_upload(sent({"a.txt": "x"}))
