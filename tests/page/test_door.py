"""Who may ask the page for anything: a table of hostile requests."""

from __future__ import annotations

import contextlib
import re
import select
from pathlib import Path
from typing import Any

import pytest
from the_page import HOST, Bench, Page

OTHER = "http://saltgrass.example"
#: Requests as others would make them with the cookie of the owner's own browser: what differs from
#: the page's own, and the answer.
HOSTILE: list[tuple[str, dict[str, Any], int]] = [
    ("a rebound name", {"Host": "saltgrass.example"}, 421),
    ("a rebound name with our port", {"Host": "saltgrass.example:8463"}, 421),
    ("another port", {"Host": "127.0.0.1:8464"}, 421),
    ("another loopback", {"Host": "127.0.0.2:8463"}, 421),
    ("no host", {"Host": ""}, 421),
    ("two hosts in one", {"Host": "127.0.0.1:8463, saltgrass.example"}, 421),
    ("another site", {"Origin": OTHER}, 403),
    ("another port of this computer", {"Origin": "http://127.0.0.1:8464"}, 403),
    ("no site", {"Origin": "null"}, 403),
    ("the same by https", {"Origin": f"https://{HOST}"}, 403),
    ("a longer name", {"Origin": f"http://{HOST}.saltgrass.example"}, 403),
    ("a cross-site request without origin", {"Sec-Fetch-Site": "cross-site"}, 403),
    ("another port, says the browser", {"Sec-Fetch-Site": "same-site"}, 403),
    ("no token", {"X-Bench-Token": ""}, 403),
    ("a token of somebody else", {"X-Bench-Token": "0" * 64}, 403),
    ("a token in letters that are none", {"X-Bench-Token": "\xe9" * 64}, 403),
    ("no cookie", {"Cookie": ""}, 401),
]


@pytest.mark.parametrize("name, headers, status", HOSTILE, ids=[one[0] for one in HOSTILE])
def test_a_hostile_write_is_refused(
    page: Page, name: str, headers: dict[str, Any], status: int
) -> None:
    draft = page.lay("clear-crackle")
    data = {"draft": draft.id, "version": 1, "changes": [["glazes.0.base.2", 20.0]]}
    if "Cookie" in headers:
        page.client.delete_cookie("cofire_bench_8463", domain="127.0.0.1")
        headers = {}
    answer = page.ask("/api/commit", data, **headers)
    assert answer.status_code == status
    found = page.drafts.read(draft.id)
    assert found is not None and found.version == 1


def test_the_same_write_of_the_page_itself_is_done(page: Page) -> None:
    draft = page.lay("clear-crackle")
    data = {"draft": draft.id, "version": 1, "changes": [["glazes.0.base.2", 20.0]]}
    answer = page.ask("/api/commit", data, Origin=f"http://{HOST}")
    assert answer.status_code == 200 and answer.json and answer.json["version"] == 2


#: Addresses that try to leave the studio.
OUTSIDE = [
    "/file/recipes/..%2F..%2Fstudio", "/file/recipes/../../studio", "/file/recipes/%2e%2e",
    "/file/recipes/%2Fetc%2Fpasswd", "/file/single/..%2Fsecret", "/file/single/.bench",
    "/file/..%2F/x", "/file/.bench/key", "/static/../app.py", "/static/%2e%2e/app.py",
    "/static/..%2Fapp.py", "/history/..%2F..%2Fsecret", "/bench/..%2Fkey", "/bench/../../key",
    "/materials/..%2Fx", "/ask/formula?ask=1&recipe=../../secret.toml",
    "/ask/formula?ask=1&recipe=/etc/passwd", "/ask/fit?ask=1&recipe=clear-crackle&body=/etc/x.toml",
    "/ask/firing?ask=1&firing=~root/x.toml", "/ask/compose?ask=1&formula=/tmp/x.toml",
    "/ask/tile?ask=1&tiles=/etc/x.toml,+3+brushed,+whole&body=raku",
    "/sheets/print?glaze=/etc/passwd&dry=1+kg", "/cards?firing=../x", "/wall?firing=/etc/passwd",
]  # fmt: skip


@pytest.mark.parametrize("path", OUTSIDE)
def test_no_address_leads_out_of_the_studio(page: Page, path: str) -> None:
    secret = "soda = 20 # nobody but the owner may read this"
    page.write("../secret.toml", secret)
    answer = page.get(path)
    assert answer.status_code in (308, 400, 403, 404), path
    assert "nobody but the owner" not in answer.get_data(as_text=True)


def test_a_recipe_may_not_name_a_file_by_its_path(page: Page) -> None:
    draft = page.lay("clear-crackle")
    page.write("../secret.toml", 'name = "secret"\nsurface = "gloss"\n[base]\nkaolin = 100\n')
    text = 'name = "x"\nsurface = "gloss"\n[base]\n"../secret.toml" = 50\nkaolin = 50\n'
    for path in (f"/bench/{draft.id}/take/0", "/file/recipes/white-crackle"):
        answer = page.send(path, text=text, hash="", name="x")
        assert answer.status_code == 400 and "is a path" in answer.get_data(as_text=True)


def test_a_link_out_of_the_studio_is_no_file_of_it(page: Page) -> None:
    outside = page.write("../outside.toml", 'name = "o"\nsurface = "gloss"\n[base]\nkaolin = 1\n')
    (page.folder / "recipes" / "linked.toml").symlink_to(outside)
    assert page.get("/file/recipes/linked").status_code == 404


ODD_BODIES: list[tuple[str, bytes, str]] = [
    ("nothing", b"", "application/json"),
    ("half an object", b'{"draft": "', "application/json"),
    ("a list", b"[]", "application/json"),
    ("a number", b"7", "application/json"),
    ("no JSON", b"draft=1", "application/x-www-form-urlencoded"),
    ("changes that are no list", b'{"changes": 5}', "application/json"),
    ("not UTF-8", b'{"draft": "\xff\xfe"}', "application/json"),
    ("deep", b"[" * 100_000, "application/json"),
    ("many changes", b'{"changes": [' + b"1," * 500 + b"1]}", "application/json"),
]


@pytest.mark.parametrize("name, body, kind", ODD_BODIES, ids=[one[0] for one in ODD_BODIES])
def test_a_malformed_question_is_refused(page: Page, name: str, body: bytes, kind: str) -> None:
    headers = {"Host": HOST, "X-Bench-Token": page.token, "Content-Type": kind}
    answer = page.client.post("/api/look", data=body, headers=headers)
    assert answer.status_code in (400, 404) and answer.json and answer.json["error"]


ODD_CHANGES = [
    ["glazes.0.base.2", float("nan")], ["glazes.0.base.2", float("inf")],
    ["glazes.0.base.2", -5.0], ["glazes.0.base.2", "12"], ["glazes.0.base.2", True],
    ["glazes.0.base.999", 1.0], ["glazes.99.base.0", 1.0], ["glazes.-1.base.0", 1.0],
    ["glazes.0.base.²", 1.0], ["glazes.0.surface", "shiny"], ["glazes.0.of", "../../x"],
    ["glazes.more", "/etc/passwd"], ["firing.of", "../x"], ["body", "../../x"], ["body", 5],
    ["firing.segment.0.target", 1e9], ["firing.pull.0.count", 10**9], ["asked.coat", "x" * 5000],
    ["asked.coat", "5 sheep"], ["asked.odds", 2.0], ["asked.__class__", 1.0], ["", None], [], 5,
    ["glazes.0.data", {"base": {"../x.toml": 1}}], ["glazes.0.data", 5],
]  # fmt: skip


@pytest.mark.parametrize("change", ODD_CHANGES, ids=str)
def test_an_odd_change_is_refused_in_words(page: Page, change: object) -> None:
    draft = page.lay("clear-crackle")
    answer = page.ask("/api/look", {"draft": draft.id, "version": 1, "changes": [change]})
    assert answer.status_code in (400, 404), change
    assert answer.json and answer.json["error"] and "Traceback" not in answer.json["error"]


def test_a_large_request_is_refused(page: Page) -> None:
    answer = page.send("/file/recipes/white-crackle", text="#" * 2_100_000, hash="")
    assert answer.status_code == 413


def test_every_answer_says_what_a_page_may_load(page: Page) -> None:
    for path in ("/", "/shelf", "/static/bench.js", "/no-such-page", "/in"):
        answer = page.get(path)
        policy = answer.headers["Content-Security-Policy"]
        assert "default-src 'none'" in policy and "unsafe" not in policy
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
    sheet = page.get("/sheets/print?glaze=clear-crackle&dry=2+kg")
    assert "script-src" not in sheet.headers["Content-Security-Policy"]
    assert "sandbox" in sheet.headers["Content-Security-Policy"]


NAMES = [
    '<script>alert("x")</script>', "<img src=x onerror=alert(1)>", "'\"><b>bold</b>",
    "{{ 7 * 7 }}", "</textarea><script>alert(1)</script>", "</title>",
]  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_what_people_typed_is_escaped(page: Page, name: str) -> None:
    quoted = name.replace("\\", "\\\\").replace('"', '\\"')
    page.write(
        "recipes/odd.toml",
        f'name = "{quoted}"\nsurface = "gloss"\nnotes = "{quoted}"\n[base]\n'
        '"frit-3134-type" = 90\nkaolin = 10\n',
    )
    draft = page.lay("odd")
    look = page.ask("/api/look", {"draft": draft.id, "version": 1, "changes": []})
    texts = [look.json["html"] if look.json else ""]
    for path in (f"/bench/{draft.id}", "/shelf", "/file/recipes/odd", "/?choose=1", "/sheets",
                 f"/bench/{draft.id}/save", f"/bench/{draft.id}/swap/0",
                 "/sheets/print?glaze=odd&dry=1+kg"):  # fmt: skip
        answer = page.get(path)
        assert answer.status_code == 200, path
        texts.append(answer.get_data(as_text=True))
    for text in texts:
        for bad in ("<script>alert", "<img src=x", "<b>bold", "</textarea><script"):
            assert bad not in text
    assert name != "49" and any("{{ 7 * 7 }}" in t for t in texts) == ("{{" in name)


def test_marks_that_turn_letters_round_are_written_out(page: Page) -> None:
    page.write(
        "recipes/turned.toml",
        'name = "clear\u202egloss"\nsurface = "gloss"\n[base]\n"frit-3134-type" = 90\nkaolin = 10',
    )
    for path in ("/shelf", "/?choose=1"):
        assert "\u202e" not in page.get(path).get_data(as_text=True)


def test_a_code_lets_one_in_once(page: Page) -> None:
    code = page.guard.new_code("writer")
    stranger = page.app.test_client()
    assert stranger.get("/shelf", headers={"Host": HOST}).status_code == 401
    typed = f"{code.text[:4].lower()} {code.text[4:]}"
    came = stranger.post("/in", data={"code": typed}, headers={"Host": HOST})
    assert came.status_code == 303 and "HttpOnly" in came.headers["Set-Cookie"]
    assert "SameSite=Strict" in came.headers["Set-Cookie"]
    assert stranger.get("/shelf", headers={"Host": HOST}).status_code == 200
    again = page.app.test_client().post("/in", data={"code": code.text}, headers={"Host": HOST})
    assert again.status_code == 403


def test_the_code_is_drawn_as_a_picture_that_a_phone_reads(page: Page) -> None:
    import zxingcpp
    from PIL import Image

    there = Page(page.folder, lan="192.0.2.2:8463")
    text = there.send("/phones", role="guest").get_data(as_text=True)
    size = re.search(r'class="qr" viewBox="0 0 (\d+)', text)
    assert size
    dark = re.search(r'<path d="([^"]+)" fill="#000000"', text)
    assert dark
    picture = Image.new("L", (int(size[1]), int(size[1])), 255)
    for x, y, end in re.findall(r"M([\d.]+) ([\d.]+)L([\d.]+) ", dark[1]):
        for at in range(int(float(x)), int(float(end))):
            picture.putpixel((at, int(float(y))), 0)
    read = zxingcpp.read_barcode(picture.resize((600, 600), Image.Resampling.NEAREST))
    (code,) = there.guard.codes
    assert read is not None and read.text == f"http://192.0.2.2:8463/in?code={code}"


def test_guessing_codes_is_slowed_and_closes_them(
    page: Page, monkeypatch: pytest.MonkeyPatch
) -> None:
    now = [1000.0]
    monkeypatch.setattr("cofire.page.guard.time.monotonic", lambda: now[0])
    code = page.guard.new_code("guest")
    stranger = page.app.test_client()

    def guess(text: str) -> int:
        return stranger.post("/in", data={"code": text}, headers={"Host": HOST}).status_code

    assert [guess("AAAAAAAA") for _ in range(8)] == [403] * 6 + [429] * 2
    assert guess(code.text) == 429  # not even the right one is heard now
    for _ in range(4):
        now[0] += 61.0
        assert guess("AAAAAAAA") == 403
        for _ in range(5):
            guess("BBBBBBBB")
    now[0] += 61.0
    assert guess(code.text) == 403  # withdrawn


def test_who_guesses_keeps_nobody_else_out(page: Page) -> None:
    code = page.guard.new_code("guest")
    stranger = page.app.test_client()

    def come(text: str, address: str) -> int:
        return stranger.post("/in", data={"code": text}, headers={"Host": HOST},
                             environ_base={"REMOTE_ADDR": address}).status_code  # fmt: skip

    assert [come("AAAAAAAA", "192.0.2.7") for _ in range(7)] == [403] * 6 + [429]
    assert come(page.guard.way_in, "192.0.2.7") == 303  # the owner's address is always heard
    assert come(code.text, "192.0.2.8") == 303


def test_an_old_code_is_no_code(page: Page, monkeypatch: pytest.MonkeyPatch) -> None:
    code = page.guard.new_code("guest")
    monkeypatch.setattr("cofire.page.guard.time.monotonic", lambda: code.until + 1.0)
    assert page.guard.enter(code.text, "") is None


def test_who_was_let_in_can_be_sent_out(page: Page) -> None:
    session = page.guard.enter(page.guard.new_code("writer").text, "192.0.2.7")
    assert session is not None
    phone = page.come_in(session.id)
    assert phone.get("/shelf", headers={"Host": HOST}).status_code == 200
    assert phone.get("/phones", headers={"Host": HOST}).status_code == 403
    page.send("/phones/out", who=session.short)
    assert phone.get("/shelf", headers={"Host": HOST}).status_code == 401
    page.send("/phones/out", who="all")
    assert page.get("/shelf").status_code == 200  # the owner stays


def test_guests_look_and_try_but_do_not_save(page: Page) -> None:
    draft = page.lay("clear-crackle")
    session = page.guard.enter(page.guard.new_code("guest").text, "")
    assert session is not None
    guest = page.come_in(session.id)
    headers = {"Host": HOST, "X-Bench-Token": page.guard.token(session)}
    data = {"draft": draft.id, "version": 1, "changes": [["glazes.0.base.2", 20.0]]}
    assert guest.post("/api/look", json=data, headers=headers).status_code == 200
    writes = [rule.rule for rule in page.app.url_map.iter_rules() if "POST" in (rule.methods or ())]
    assert len(writes) > 15
    for rule in writes:
        if rule in ("/api/look", "/api/change", "/in"):
            continue
        path = rule.replace("<id>", draft.id).replace("<kind>", "recipes")
        path = path.replace("<int:k>", "0").replace("<int:p>", "0").replace("<int:number>", "1")
        path = path.replace("<int:n>", "0")
        assert guest.post(path, json=data, headers=headers).status_code == 403, rule
    found = page.drafts.read(draft.id)
    assert found is not None and found.version == 1


RAW: list[tuple[str, bytes]] = [
    ("no request", b"\x00\x01\x02\r\n\r\n"),
    ("two lengths", b"POST /api/look HTTP/1.1\r\nHost: {host}\r\nContent-Length: 5\r\n"
     b"Content-Length: 6\r\n\r\nabcdef"),
    ("length and chunks", b"POST /api/look HTTP/1.1\r\nHost: {host}\r\nContent-Length: 5\r\n"
     b"Transfer-Encoding: chunked\r\n\r\n0\r\n\r\nGET /shelf HTTP/1.1\r\n\r\n"),
    ("a length below nothing", b"POST / HTTP/1.1\r\nHost: {host}\r\nContent-Length: -5\r\n\r\n"),
    ("too long a line", b"GET /" + b"a" * 70_000 + b" HTTP/1.1\r\nHost: {host}\r\n\r\n"),
    ("many headers", b"GET / HTTP/1.1\r\nHost: {host}\r\n" + b"X-A: b\r\n" * 20_000 + b"\r\n"),
    ("a large body in chunks", b"POST /api/look HTTP/1.1\r\nHost: {host}\r\n"
     b"Transfer-Encoding: chunked\r\n\r\n"
     + 50 * (b"10000\r\n" + b"x" * 65536 + b"\r\n") + b"0\r\n\r\n"),
    ("a large body", b"POST /api/look HTTP/1.1\r\nHost: {host}\r\nContent-Length: 99999999\r\n\r\n"
     + b"x" * 4096),
    ("a whole address", b"GET http://saltgrass.example/shelf HTTP/1.1\r\nHost: {host}\r\n\r\n"),
    ("no host", b"GET /shelf HTTP/1.1\r\n\r\n"),
    ("two hosts", b"GET /shelf HTTP/1.1\r\nHost: {host}\r\nHost: saltgrass.example\r\n\r\n"),
]  # fmt: skip


def test_malformed_requests_end_in_a_refusal_and_the_page_goes_on(bench: Bench) -> None:
    host = f"127.0.0.1:{bench.port}".encode()
    for name, request in RAW:
        said = bench.raw(request.replace(b"{host}", host))
        assert b"Traceback" not in said, name
        assert not said or said.split()[1][:1] in (b"4", b"5"), (name, said[:200])
    asked = b"GET /in HTTP/1.1\r\nHost: " + host + b"\r\nConnection: close\r\n\r\n"
    slow = [bench.line() for _ in range(80)]
    for line in slow:  # begin a request and never end it
        line.sendall(asked[:-20])
    assert b"200 OK" in bench.raw(asked)
    for line in slow:
        line.close()
    assert "Traceback" not in bench.said


_BODY = 100_000_000  # bytes
_PIECE = b"10000\r\n" + b"x" * 65536 + b"\r\n"
_GO_ON = b"HTTP/1.1 100 Continue\r\n\r\n"
LARGE: dict[str, tuple[bytes, bytes]] = {
    "in chunks": (b"Transfer-Encoding: chunked", _PIECE),
    "in one chunk": (b"Transfer-Encoding: chunked", b"5F5E100\r\n" + b"x" * 65536),
    "with its length": (b"Content-Length: 100000000", b"x" * 65536),
    "with its length, and asking first": (
        b"Content-Length: 100000000\r\nExpect: 100-continue", b"x" * 65536,
    ),
    "a head without end": (b"X-A: b", b"X-A: b\r\n" * 8192),
}  # fmt: skip


def _memory_kb(pid: int) -> int:
    status = Path(f"/proc/{pid}/status").read_text(encoding="utf-8")
    return int(re.search(r"VmHWM:\s+(\d+) kB", status)[1])  # type: ignore[index]


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="reads memory off /proc")
def test_a_body_of_a_hundred_megabytes_is_refused_at_once_and_held_nowhere(bench: Bench) -> None:
    host = f"Host: 127.0.0.1:{bench.port}".encode()
    asked = b"GET /in HTTP/1.1\r\n" + host + b"\r\nConnection: close\r\n\r\n"
    assert b"200 OK" in bench.raw(asked)
    before = _memory_kb(bench.program.pid)
    for name, (head, piece) in LARGE.items():
        end = b"\r\n" if name == "a head without end" else b"\r\n\r\n"
        sent, said = 0, b""
        with bench.line() as line:
            line.sendall(b"POST /api/look HTTP/1.1\r\n" + host + b"\r\n" + head + end)
            with contextlib.suppress(ConnectionError):  # it hung up
                while sent < _BODY and b"\r\n\r\n" not in said.removeprefix(_GO_ON):
                    if select.select([line], [], [], 0)[0]:
                        said += line.recv(65536)
                    sent += line.send(piece)
            with contextlib.suppress(ConnectionError):
                while got := line.recv(65536):
                    said += got
            said = said.removeprefix(_GO_ON)
        assert sent < 30_000_000, (name, sent)  # of which most lies in the system's own buffers
        assert not said or said.split()[1] in (b"413", b"431"), (name, said[:100])
        assert b"200 OK" in bench.raw(asked), name
    assert _memory_kb(bench.program.pid) - before < 8_000
