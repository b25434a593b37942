"""The server's command line, environment and words; that it really serves is tested in tests/browser."""

import json
import socket

import pytest

from restonb.bench import _serve
from restonb.errors import RestonbError
from restonb.stated import Build


@pytest.fixture
def build(tmp_path):
    return Build.create(tmp_path / "a build", "Toy")


def test_it_listens_on_the_loopback_address_unless_asked(build):
    alone = _serve.command(build, 9000, lan=False, browser=False, start="notebooks/start.md")
    assert "--ServerApp.ip=127.0.0.1" in alone
    open_to_all = _serve.command(build, 9000, lan=True, browser=False, start="notebooks/start.md")
    assert "--ServerApp.ip=0.0.0.0" in open_to_all


def test_the_token_is_long_and_not_on_the_command_line(build, monkeypatch):
    monkeypatch.setenv("RESTONB_STATIC", "1")
    environment = _serve.environment(build, build.folder / ".bench", "secret")
    assert environment["JUPYTER_TOKEN"] == "secret"
    assert "RESTONB_STATIC" not in environment  # or nothing could be entered
    assert environment["RESTONB_BUILD"] == str(build.folder)
    assert not any("secret" in word for word in _serve.command(build, 1, True, False, "x"))
    own = [v for k, v in environment.items() if k.endswith(("_DIR", "IPYTHONDIR")) and k.startswith(("JUPYTER", "IPY"))]
    assert len(own) == 6
    assert all(folder.startswith(str(build.folder / ".bench")) for folder in own)


def test_it_warns_plainly_when_others_can_reach_it():
    words = "\n".join(_serve.address_lines(9000, "secret", "notebooks/start.md", lan=True))
    assert "WARNING" in words
    assert "unencrypted" in words
    assert words.count("token=secret") == 2
    assert "WARNING" not in "\n".join(_serve.address_lines(9000, "secret", "notebooks/start.md", lan=False))


def test_no_news_is_fetched(build):
    settings = _serve._state(build) / "settings"
    notes = json.loads((settings / "@jupyterlab/apputils-extension/notification.jupyterlab-settings").read_text())
    assert notes["fetchNews"] == "false"
    assert notes["checkForUpdates"] is False


def test_the_start_page_leads_to_every_sheet_by_its_title(build):
    folder = build.notebooks / "drivetrain"
    folder.mkdir(parents=True)
    cell = {"cell_type": "markdown", "source": ["# Seating the [gearbox]\n", "text"]}
    (folder / "a sheet.ipynb").write_text(json.dumps({"cells": [cell]}))
    (build.notebooks / "broken.ipynb").write_text("{")
    start = _serve.write_start(build)
    text = (build.folder / start).read_text()
    assert "[Seating the (gearbox)](drivetrain/a%20sheet.ipynb)" in text
    assert "[broken](broken.ipynb)" in text
    assert "## drivetrain" in text


def test_a_port_that_is_taken_is_said_before_anything_starts():
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        with pytest.raises(RestonbError, match=f"port {port} cannot be used"):
            _serve._free(port, lan=False)
    with pytest.raises(RestonbError, match="cannot be used"):
        _serve._free(99999, lan=False)
    assert _serve._free(0, lan=False) > 1023


def test_a_port_that_somebody_has_is_passed_over_where_any_will_do():
    first = _serve._free(0, lan=False)
    with socket.socket() as other:
        other.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)  # a server may have left it a moment ago
        other.bind(("127.0.0.1", first))
        other.listen()
        assert _serve._free(0, lan=False) != first


def test_a_server_that_does_not_start_is_said_in_one_line(build, monkeypatch):
    monkeypatch.setattr(
        _serve, "command", lambda *a, **k: [_serve.sys.executable, "-c", "raise SystemExit('no such module')"]
    )
    with pytest.raises(RestonbError, match="JupyterLab does not start: no such module"):
        _serve.serve(build, browser=False)
