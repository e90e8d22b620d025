"""The log says where something failed, never on whose data."""

import logging
import sys

from witnessmark.web.security.logs import WithoutValues


def test_an_exception_is_its_place_and_class_without_its_message():
    words = "said by the setter of row 2"

    def fail():
        try:
            int(words)
        except ValueError as error:
            raise KeyError(words) from error

    try:
        fail()
    except KeyError:
        said = {"msg": "job %s failed", "args": (7,), "exc_info": sys.exc_info()}
        text = WithoutValues().format(logging.makeLogRecord(said))
    assert "job 7 failed" in text
    assert "in fail" in text
    assert "KeyError, caused by ValueError" in text
    assert words not in text


def test_a_fault_of_a_page_is_logged_without_what_was_typed(client, caplog, monkeypatch):
    caplog.handler.setFormatter(WithoutValues())
    client.raise_request_exception = False

    def fail(self, *_, **__):
        raise RuntimeError(self.display_name)

    monkeypatch.setattr("witnessmark.web.accounts.models.User.save", fail)
    answer = client.post("/account/", {"display_name": "A Name Typed", "change_name": "1"})
    assert answer.status_code == 500
    assert "Something went wrong here" in answer.text
    assert "RuntimeError" in caplog.text
    assert "A Name Typed" not in caplog.text
    assert "A Name Typed" not in answer.text
