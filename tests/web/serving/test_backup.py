"""Backup of a running server and back: everything, unchanged, or a refusal that says why."""

import json
import shutil
import sqlite3
import stat
import threading
import zipfile
from contextlib import closing
from dataclasses import replace

import pytest
from tests.web.live import Visit

from witnessmark.errors import UnusableInputError
from witnessmark.web.config import read_config
from witnessmark.web.data_folder import VARIABLE, DataFolder, write_private
from witnessmark.web.serving import backup as module
from witnessmark.web.serving.backup import back_up
from witnessmark.web.serving.restore import restore

PASSWORD = "two lots in one washing basket"  # noqa: S105 - of a test


@pytest.fixture
def config(tmp_path, monkeypatch):
    """A small installation, made by hand."""
    folder = DataFolder(tmp_path / "data")
    folder.make()
    folder.secret()
    monkeypatch.setenv(VARIABLE, str(folder.path))
    with closing(sqlite3.connect(folder.database)) as database:
        database.executescript("pragma journal_mode=wal; create table kept (n integer primary key)")
    (folder.blobs / "ab").mkdir()
    write_private(folder.blobs / "ab" / "abcd", b"a picture")
    (folder.records / ".kept").mkdir()
    write_private(folder.records / ".kept" / "runs.parquet", b"rows")
    write_private(folder.keys / "door", b"passing")
    write_private(folder.keys / ".door.0123456789ab", b"a file half written")
    write_private(folder.jobs / "1.lock", b"")
    folder.config.write_text("upload_limit_mb = 30\n")
    return read_config({})


def test_what_is_in_it(config, tmp_path):
    out = tmp_path / "b.zip"
    assert back_up(config, out) == 5
    with zipfile.ZipFile(out) as archive:
        manifest = json.loads(archive.read("manifest.json"))
        assert set(archive.namelist()) - {"manifest.json"} == set(manifest["sha256"])
    assert set(manifest["sha256"]) == {
        "witnessmark.db",
        "witnessmark.toml",
        "keys/secret_key",
        "blobs/ab/abcd",
        "records/.kept/runs.parquet",
    }
    assert stat.S_IMODE(out.stat().st_mode) == 0o600
    assert [one.name for one in tmp_path.iterdir() if one.name.startswith(".")] == []


def test_there_and_back(config, tmp_path):
    out, folder = tmp_path / "b.zip", tmp_path / "back"
    back_up(config, out)
    assert restore(out, folder) == 5
    back = DataFolder(folder)
    assert back.secret() == config.data.secret()
    assert (back.blobs / "ab" / "abcd").read_bytes() == b"a picture"
    assert not (back.keys / "door").exists()
    for path in (folder, back.keys, back.jobs, back.blobs / "ab"):
        assert stat.S_IMODE(path.stat().st_mode) == 0o700
    assert stat.S_IMODE(back.database.stat().st_mode) == 0o600


def test_a_backup_while_others_write_is_one_moment_of_the_database(config, tmp_path):
    """Rows are written two by two; a copy that holds an odd number has torn a transaction."""
    ended = threading.Event()

    def write():
        with closing(sqlite3.connect(config.data.database, timeout=20)) as database:
            number = 0
            while not ended.is_set():
                with database:
                    database.execute("insert into kept values (?)", (number,))
                    database.execute("insert into kept values (?)", (number + 1,))
                number += 2

    writer = threading.Thread(target=write)
    writer.start()
    try:
        for number in range(5):
            back_up(config, tmp_path / f"{number}.zip")
    finally:
        ended.set()
        writer.join()
    counts = []
    for number in range(5):
        restore(tmp_path / f"{number}.zip", tmp_path / f"back{number}")
        with closing(sqlite3.connect(tmp_path / f"back{number}" / "witnessmark.db")) as database:
            assert database.execute("pragma integrity_check").fetchone() == ("ok",)
            counts.append(database.execute("select count(*) from kept").fetchone()[0])
    assert all(count % 2 == 0 for count in counts)
    assert counts == sorted(counts)


def test_what_is_erased_meanwhile_is_left_out(config, tmp_path, monkeypatch):
    listed = list(module._files(config.data))
    (config.data.blobs / "ab" / "abcd").unlink()
    monkeypatch.setattr(module, "_files", lambda _: listed)
    assert back_up(config, tmp_path / "b.zip") == 4
    assert restore(tmp_path / "b.zip", tmp_path / "back") == 4


def test_nothing_is_overwritten(config, tmp_path):
    out = tmp_path / "b.zip"
    back_up(config, out)
    with pytest.raises(UnusableInputError, match="there already"):
        back_up(config, out)
    with pytest.raises(UnusableInputError, match="not empty"):
        restore(out, config.data.path)


def test_a_folder_without_a_database_is_refused_and_leaves_nothing(config, tmp_path):
    other = DataFolder(tmp_path / "other")
    other.make()
    with pytest.raises(UnusableInputError, match="no database"):
        back_up(replace(config, data=other), tmp_path / "x.zip")
    assert not list(tmp_path.glob("*x.zip*"))


def rewritten(out, target, change):
    """A copy of a backup whose entries went through `change(name, content)`."""
    with zipfile.ZipFile(out) as source, zipfile.ZipFile(target, "w") as copy:
        for name in source.namelist():
            for entry in change(name, source.read(name)):
                copy.writestr(*entry)
    return target


def flipped(name, content):
    changed = bytes([content[0] ^ 1]) + content[1:] if name == "blobs/ab/abcd" else content
    return [(name, changed)]


def without(name, content):
    return [] if name == "blobs/ab/abcd" else [(name, content)]


def with_more(name, content):
    return [(name, content), *([("keys/more", b"x")] if name == "keys/secret_key" else [])]


def leading_out(name, content):
    if name == "manifest.json":
        manifest = json.loads(content)
        manifest["sha256"]["../out"] = manifest["sha256"]["blobs/ab/abcd"]
        return [(name, json.dumps(manifest)), ("../out", b"a picture")]
    return [(name, content)]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (flipped, '"blobs/ab/abcd" has changed since the backup was made'),
        (without, '"blobs/ab/abcd" is missing'),
        (with_more, '"keys/more" is not in its manifest'),
        (leading_out, '"../out" leads out of the folder'),
        (lambda name, content: [] if name == "manifest.json" else [(name, content)], "no backup"),
    ],
)
def test_a_backup_that_is_not_whole_is_refused_and_brings_nothing_back(
    config, tmp_path, change, said
):
    out, folder = tmp_path / "b.zip", tmp_path / "deep" / "back"
    back_up(config, out)
    with pytest.raises(UnusableInputError) as refused:
        restore(rewritten(out, tmp_path / "changed.zip", change), folder)
    assert said in str(refused.value)
    assert not folder.parent.exists()
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("cut", [0, 10, 200, -1])
def test_a_file_cut_short_is_refused(config, tmp_path, cut):
    out = tmp_path / "b.zip"
    back_up(config, out)
    (tmp_path / "cut.zip").write_bytes(out.read_bytes()[:cut])
    with pytest.raises(UnusableInputError):
        restore(tmp_path / "cut.zip", tmp_path / "back")
    assert not (tmp_path / "back").exists()


def test_a_database_that_does_not_fit_is_refused(config, tmp_path):
    back_up(config, tmp_path / "b.zip")
    with pytest.raises(UnusableInputError, match="Leave --database out"):
        restore(tmp_path / "b.zip", tmp_path / "back", "postgresql://a@b/c")


def test_a_running_server_is_backed_up_and_served_again_elsewhere(serve, witnessmark, tmp_path):
    folder, back = tmp_path / "folder", tmp_path / "back"
    added = witnessmark("user", "add", "owner", "--owner", data=folder, text=f"{PASSWORD}\n")
    assert added.returncode == 0, added.stderr
    server = serve(folder, "--server")
    visit = Visit(server.url)
    form = {"login_name": "owner", "password": PASSWORD}
    assert visit.post("/sign-in/", form, "/sign-in/").url == server.url
    named = visit.post("/account/", {"display_name": "Named before", "change_name": "1"})
    assert "Named before" in named.text
    done = witnessmark("backup", tmp_path / "b.zip", data=folder)
    assert done.returncode == 0, done.stderr
    visit.post("/account/", {"display_name": "Named after", "change_name": "1"})
    server.stop()
    shutil.rmtree(folder)
    done = witnessmark("restore", tmp_path / "b.zip", back)
    assert done.returncode == 0, done.stderr
    again = serve(back, "--server")
    cookie = Visit(again.url, jar=visit.jar)  # cookies do not tell ports apart: the session goes on
    assert "Named before" in cookie.get("/account/").text


@pytest.mark.postgres
def test_the_same_on_postgresql(serve, witnessmark, tmp_path, postgres_url, another_postgres_url):
    folder, back = tmp_path / "folder", tmp_path / "back"
    one, other = ({"WITNESSMARK_DATABASE": url} for url in (postgres_url, another_postgres_url))
    text = f"{PASSWORD}\n"
    added = witnessmark("user", "add", "owner", "--owner", data=folder, text=text, **one)
    assert added.returncode == 0, added.stderr
    server = serve(folder, "--server", **one)
    form = {"login_name": "owner", "password": PASSWORD}
    assert Visit(server.url).post("/sign-in/", form, "/sign-in/").url == server.url
    done = witnessmark("backup", tmp_path / "b.zip", data=folder, **one)
    assert done.returncode == 0, done.stderr
    server.stop()
    assert not (folder / "witnessmark.db").exists()
    without_place = witnessmark("restore", tmp_path / "b.zip", back)
    assert "Name an empty database with --database" in without_place.stderr
    full = witnessmark("restore", tmp_path / "b.zip", back, "--database", postgres_url)
    assert (full.returncode, "already exists" in full.stderr) == (2, True)
    assert not back.exists()
    arguments = ("restore", tmp_path / "b.zip", back, "--database", another_postgres_url)
    done = witnessmark(*arguments)
    assert done.returncode == 0, done.stderr
    again = serve(back, "--server", **other)
    assert Visit(again.url).post("/sign-in/", form, "/sign-in/").url == again.url
