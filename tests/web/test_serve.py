"""The real server as a process: start, answer, end; and nothing of it stays behind."""

import json
import os
import re
import signal
import subprocess
import sys
import time
import urllib.error
import urllib.parse
import urllib.request
from pathlib import Path

import pytest
from tests.web.live import Visit

linux_only = pytest.mark.skipif(sys.platform != "linux", reason="looks into /proc")


def processes_for(server):
    """Ids of all processes that were started from a server, and its own."""
    group = {server.process.pid}
    for place in Path("/proc").glob("[0-9]*/environ"):
        try:
            environ = place.read_bytes()
        except OSError:
            continue  # it is gone, or somebody else's
        if f"WITNESSMARK_DATA={server.data.path}\0".encode() in environ:
            group.add(int(place.parent.name))
    return {pid for pid in group if is_alive(pid)}


def is_alive(pid):
    try:
        status = Path(f"/proc/{pid}/stat").read_text()
    except OSError:
        return False
    return status.rpartition(")")[2].split()[0] != "Z"


def wait_until(is_so, seconds=60):
    until = time.monotonic() + seconds
    while not is_so() and time.monotonic() < until:
        time.sleep(0.1)
    return is_so()


def test_the_door_opens_once_and_leaves_the_address_bar(live):
    door, first, second = live.door(), Visit(live.url), Visit(live.url)
    answer = first.get(door)
    assert (answer.status, answer.url) == (200, live.url)
    assert second.get(door).status == 403
    assert second.get("/account/").status == 403
    assert first.get("/account/").status == 200
    assert first.get(door).url == live.url  # who is in goes to the first page


def test_a_second_serve_finds_the_first_and_prints_a_fresh_door(live, witnessmark):
    done = witnessmark("serve", "--data", live.data.path, "--no-open")
    assert done.returncode == 0, done.stderr
    address = done.stdout.split()[-1]
    assert address.startswith(f"{live.url}enter/?token=")
    assert Visit(live.url).get(address).url == live.url


def test_headers_and_static_files_over_a_real_connection(live):
    visit = live.visit()
    page = visit.get("/")
    assert "default-src 'none'" in page.headers["content-security-policy"]
    assert "Strict-Transport-Security" not in page.headers
    name = page.text.partition('rel="stylesheet" href="')[2].partition('"')[0]
    style = visit.get(name)
    assert (style.status, "--paper" in style.text) == (200, True)
    assert "immutable" in style.headers["cache-control"]


def test_a_huge_request_is_refused_before_it_is_read(live):
    visit = live.visit()
    answer = visit.post("/account/", {"display_name": "x" * (26 * 1024 * 1024)})
    assert answer.status == 413
    assert "26.0 MB were sent; this page takes 25 MB." in answer.text


def test_another_host_name_is_refused(live):
    request = urllib.request.Request(live.url, headers={"Host": "attacker.example"})
    with pytest.raises(urllib.error.HTTPError) as refused:
        urllib.request.urlopen(request)
    assert refused.value.code == 400
    refused.value.close()


@linux_only
@pytest.mark.parametrize(
    ("how", "as_terminal"),
    [
        (signal.SIGINT, True),
        (signal.SIGHUP, True),
        (signal.SIGTERM, False),
        (signal.SIGKILL, False),
    ],
)
def test_nothing_outlives_the_server(serve, tmp_path, how, as_terminal):
    server = serve(tmp_path / "folder")
    all_of_it = processes_for(server)
    assert len(all_of_it) >= 2
    ended = server.stop(how, as_terminal=as_terminal)
    assert ended == (-how if how == signal.SIGKILL else 0)
    assert wait_until(lambda: not any(map(is_alive, all_of_it)))
    if how == signal.SIGKILL:
        again = serve(tmp_path / "folder")
        assert again.visit().get("/").status == 200


@linux_only
def test_a_worker_that_is_killed_is_replaced(live):
    workers = [pid for pid in processes_for(live) if b"spawn_main" in cmdline(pid)]
    assert len(workers) == 1
    os.kill(workers[0], signal.SIGKILL)
    visit = Visit(live.url)

    def answers():
        try:
            return visit.get("/about/alive/").status == 200
        except OSError:
            return False

    assert wait_until(answers, seconds=150)
    assert not is_alive(workers[0])


@linux_only
def test_a_job_ends_with_its_server_and_is_known_as_interrupted(serve, tmp_path):
    server = serve(tmp_path / "folder")
    script = (
        "from witnessmark.web.start import set_up; set_up();"
        "from witnessmark.web.jobs.ask import ask; import os, time;"
        "job = ask('dawdle', None); print(job.pk, flush=True); time.sleep(60)"
    )
    environ = {
        **os.environ,
        "WITNESSMARK_DATA": str(server.data.path),
        "WITNESSMARK_SERVED": "1",
        "WITNESSMARK_JOB_KINDS": "kinds_for_tests",
        "PYTHONPATH": str(Path(__file__).parent / "jobs"),
    }
    with subprocess.Popen(
        [sys.executable, "-c", script], env=environ, stdout=subprocess.PIPE, text=True
    ) as worker:
        pk = worker.stdout.readline().strip()
        lock = server.data.jobs / f"{pk}.lock"
        assert wait_until(lock.exists)
        worker.kill()  # a worker that is recycled or killed does not take the job with it
    time.sleep(1.5)
    working = [pid for pid in processes_for(server) if b"jobs.work" in cmdline(pid)]
    assert len(working) == 1
    server.stop(signal.SIGKILL)
    assert wait_until(lambda: not is_alive(working[0]))
    page = serve(tmp_path / "folder").visit().get(f"/jobs/{pk}/")
    assert "Interrupted" in page.text
    assert "its process ended before it was done" in page.text


def cmdline(pid):
    return Path(f"/proc/{pid}/cmdline").read_bytes()


PROXIED = """mode = "server"
hosts = ["audit.example"]
tls_at_proxy = true
trusted_proxies = ["127.0.0.1"]
"""


def test_behind_a_server_that_encrypts(serve, witnessmark, tmp_path):
    folder, password = tmp_path / "folder", "a coil changed at nine"
    folder.mkdir()
    (folder / "witnessmark.toml").write_text(PROXIED)
    witnessmark("user", "add", "auditor", data=folder, text=f"{password}\n")
    server = serve(folder)
    forwarded = {
        "Host": "audit.example",
        "X-Forwarded-Proto": "https",
        "X-Forwarded-For": "198.51.100.7",
        "Origin": "https://audit.example",
    }
    page = Visit(server.url, headers=forwarded).get("/sign-in/")
    assert page.status == 200
    cookie = page.headers["set-cookie"]
    assert "Secure" in cookie
    token = re.search(r'name="csrf-token" content="([^"]+)"', page.text)[1]
    form = {"login_name": "auditor", "password": password, "csrfmiddlewaretoken": token}
    headers = {**forwarded, "Cookie": cookie.partition(";")[0], "Referer": "https://audit.example/"}
    request = urllib.request.Request(
        f"{server.url}sign-in/", urllib.parse.urlencode(form).encode(), headers
    )
    opener = urllib.request.build_opener(NoRedirect)
    with pytest.raises(urllib.error.HTTPError) as answer:
        opener.open(request)
    assert (answer.value.code, answer.value.headers["location"]) == (302, "/")
    answer.value.close()


class NoRedirect(urllib.request.HTTPRedirectHandler):
    def redirect_request(self, *_):
        return None


def test_a_taken_port_is_refused_in_words(live, witnessmark, tmp_path):
    port = live.url.rstrip("/").rpartition(":")[2]
    done = witnessmark("serve", "--data", tmp_path / "folder", "--port", port)
    assert done.returncode == 2
    assert "the server cannot listen here" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--host", "0.0.0.0"], "from this machine alone"),  # noqa: S104 - what is refused
        (["--tls", "auto"], "from this machine alone"),
        (["--server", "--host", "0.0.0.0"], "unencrypted"),  # noqa: S104 - what is refused
        (["--server", "--tls", "one.pem"], "names no certificate"),
    ],
)
def test_what_would_be_unsafe_is_refused(witnessmark, tmp_path, arguments, said):
    done = witnessmark("serve", "--data", tmp_path / "folder", *arguments)
    assert (done.returncode, done.stdout) == (2, "")
    assert said in done.stderr


def test_a_wrong_settings_file_is_refused_with_all_its_faults(witnessmark, tmp_path):
    folder = tmp_path / "folder"
    folder.mkdir()
    (folder / "witnessmark.toml").write_text('mode = "desk"\nport = 1\n')
    done = witnessmark("serve", "--data", folder)
    assert done.returncode == 2
    assert '"port" is no known key' in done.stderr
    assert "mode: 'desk' does not fit" in done.stderr


def test_where_it_is_served_is_written_down_for_other_commands(live):
    note = json.loads((live.data.keys / "serving.json").read_text())
    assert note["address"] == live.url
    assert note["pid"] == live.process.pid
