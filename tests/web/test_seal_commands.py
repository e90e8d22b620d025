"""`seal` and `reperform` as commands: what they say, and their exit codes."""

import shutil
import sys

import pytest
from tests.audit.conftest import LEAD
from tests.audit.sealed.conftest import shop  # noqa: F401 - the frozen records of a small shop
from tests.audit.strategies import AUDIT

from witnessmark import cli
from witnessmark.audit.actions.hear_statement import HearStatement
from witnessmark.audit.actions.link_evidence import LinkEvidence
from witnessmark.audit.actions.open_audit import OpenAudit
from witnessmark.audit.actions.open_trail import OpenTrail
from witnessmark.audit.actions.record_outcomes import RecordOutcomes
from witnessmark.audit.actions.take_in_records import TakeInRecords
from witnessmark.audit.actions.take_photo import TakePhoto
from witnessmark.audit.cited import Cited
from witnessmark.audit.recorded import result_of

# The commands are called as `main` calls them, from sys.argv, which is what the warning is about.
pytestmark = pytest.mark.filterwarnings("ignore:Cyclopts application invoked without tokens")
IN_TRUST = "nobody looks at the gauge after midnight here"


@pytest.fixture
def command(monkeypatch, capsys):
    """Runs a command as `main` does; gives exit code and what was said."""

    def run(*words):
        monkeypatch.setattr(sys, "argv", ["witnessmark", *map(str, words)])
        try:
            cli.main()
            code = 0
        except SystemExit as ended:
            code = ended.code or 0
        told = capsys.readouterr()
        return code, told.out + told.err

    return run


@pytest.fixture
def installed(web, database, shop):  # noqa: F811 - pytest hands it in under this name
    """An installation with one audit that cites its frozen records; gives its desk."""
    from witnessmark.web.store import blobs
    from witnessmark.web.store.desk import STATES, desk

    STATES.forget()
    shutil.copytree(shop.folder, web.records / shop.identity, dirs_exist_ok=True)
    here, outcomes = desk(), shop.outcomes
    late = outcomes["late-entry"]

    def act(action, texts=None):
        return here.act(AUDIT, LEAD, action, texts).event.id

    act(OpenAudit(title="Turning", process="bar turning"))
    act(HearStatement(role="setter"), {"words": "every check is entered at once"})
    act(HearStatement(role="night", protected=True), {"words": IN_TRUST})
    act(TakePhoto(sha256=blobs.put(b"a photo", "image/jpeg"), size=7))
    act(TakeInRecords(freeze=shop.identity))
    results = tuple(result_of(one) for one in outcomes.values())
    act(RecordOutcomes(freeze=shop.identity, results=results))
    trail = act(OpenTrail(proposition="entries are late"))
    cited = {"freeze": shop.identity, "slug": "late-entry", "digest": late.digest}
    act(LinkEvidence(trail=trail, cited=Cited("outcome", exceptions=2, assessed=4, **cited)))
    yield act, trail, cited
    shutil.rmtree(web.records / shop.identity)


def test_an_audit_is_sealed_and_holds_on_another_machine(web, installed, command, tmp_path):
    for width in ("outcomes", "cited", "everything"):
        code, said = command("seal", AUDIT, tmp_path / width, "--width", width, "--data", web.path)
        assert (code, f"{width}.witness" in said) == (0, True)
        assert "Withheld: 1 event(s)" in said
        assert IN_TRUST.encode() not in (tmp_path / f"{width}.witness").read_bytes()
        code, said = command("reperform", tmp_path / f"{width}.witness")
        assert code == 0
        assert "0 differ" in said
    assert "Texts: 1 are, word for word" in said
    assert "could not be recomputed" in said


def test_the_title_names_an_audit_too_and_a_file_is_not_overwritten(
    web, installed, command, tmp_path
):
    words = ("seal", "Turning", tmp_path / "a.witness", "--width", "outcomes", "--data", web.path)
    from witnessmark.web.store.models import Audit

    Audit.objects.filter(id=AUDIT).update(title="Turning")
    assert command(*words)[0] == 0
    code, said = command(*words)
    assert (code, "there already" in said) == (2, True)
    code, said = command("seal", "Milling", *words[2:])
    assert (code, "no audit has this title" in said) == (2, True)


def test_a_number_that_differs_ends_with_one_and_is_named(web, installed, command, tmp_path):
    act, trail, cited = installed
    act(LinkEvidence(trail=trail, cited=Cited("outcome", exceptions=9, **cited)))
    file = tmp_path / "a.witness"
    command("seal", AUDIT, file, "--width", "everything", "--data", web.path)
    code, said = command("reperform", file)
    assert code == 1
    assert "trail 1 (entries are late), evidence 2" in said
    assert "said 9, found 2" in said


def test_a_changed_file_ends_with_one_and_another_file_with_two(web, installed, command, tmp_path):
    file = tmp_path / "a.witness"
    command("seal", AUDIT, file, "--width", "cited", "--data", web.path)
    data = bytearray(file.read_bytes())
    lines = bytes(data).splitlines(keepends=True)
    data[len(lines[0]) + len(lines[1]) + 40] ^= 1
    file.write_bytes(data)
    code, said = command("reperform", file)
    assert (code, "First difference: entry 2 of the journal" in said) == (1, True)
    assert command("reperform", __file__)[0] == 2
    assert command("reperform", tmp_path / "nothing.witness")[0] == 2


def test_a_folder_without_an_installation_is_left_as_it_is(command, tmp_path):
    words = ("seal", AUDIT, tmp_path / "a", "--width", "cited", "--data", tmp_path / "none")
    code, said = command(*words)
    assert (code, "no installation is here" in said) == (2, True)
    assert list(tmp_path.iterdir()) == []
