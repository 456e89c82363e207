"""The interface for programs: what it answers, and that it answers nobody else.

The set of attacks is our own, after what the OWASP testing guide lists under path traversal,
identity and session management (from memory); `docs/team.md` gives their counts.
"""

from __future__ import annotations

import asyncio
import gzip
import hashlib
import io
import json
import threading
import zipfile
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import httpx
import pytest
from team_cases import EXAMPLES, PUBLIC, House, put, read

from bedstone.bridge.reader import read_bridge
from bedstone.workspace.safety import inside, uploaded

PROXY = '[proxy]\nheader = "X-Forwarded-User"\ntrusted = ["10.0.0.0/8"]\n'


@pytest.fixture
def house(tmp_path: Path) -> House:
    return House(tmp_path)


def sha(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


# ------------------------------------------------------------------ what it answers
def test_who_am_i(house: House):
    assert house.client("anna").get("/api/me").json() == {"name": "anna", "role": "editor"}
    assert house.client("bert").get("/api/me").json() == {"name": "bert", "role": "reader"}


def test_files_are_those_of_the_stock_with_their_hashes(house: House):
    (house.folder / "notes.toml").write_text("a = 1\n")
    (house.folder / ".hidden").mkdir()
    (house.folder / ".hidden" / "truss.toml").write_bytes((EXAMPLES / "truss.toml").read_bytes())
    found = house.client("bert").get("/api/files").json()["files"]
    assert found == [
        {"file": file, "sha256": sha((house.folder / file).read_bytes())}
        for file in ("north/girders.toml", "truss.toml")
    ]


def test_a_file_is_read_to_the_letter(house: House):
    text, tag = read(house.client("bert"), "north/girders.toml")
    stands = (house.folder / "north/girders.toml").read_bytes()
    assert text.encode() == stands
    assert tag == f'"{sha(stands)}"'


def test_a_text_is_put_and_told_in_the_journal(house: House):
    anna = house.client("anna")
    text, tag = read(anna, "truss.toml")
    new = text.replace('name = "', 'name = "New ', 1)
    done = put(anna, "truss.toml", new, tag)
    assert done.status_code == 200, done.text
    assert done.json() == {"file": "truss.toml", "sha256": sha(new.encode()), "changed": True}
    assert done.headers["etag"] == f'"{sha(new.encode())}"'
    assert (house.folder / "truss.toml").read_text() == new
    assert read_bridge(house.folder / "truss.toml").bridge.name.startswith("New ")
    (change,) = house.client("bert").get("/api/changes").json()["changes"]
    assert (change["who"], change["way"], change["file"]) == ("anna", "token", "truss.toml")
    assert change["before"] == tag.strip('"')
    assert '+name = "New ' in change["diff"]
    again = put(anna, "truss.toml", new, done.headers["etag"])
    assert (again.status_code, again.json()["changed"]) == (200, False)
    assert len(house.lines()) == 1


def test_faults_of_a_text_stand_in_the_form_of_the_program(house: House):
    anna = house.client("anna")
    text, tag = read(anna, "truss.toml")
    before = house.everything()
    done = put(anna, "truss.toml", text.replace('chainage = "0 m"', 'chainage = "0 kN"', 1), tag)
    assert done.status_code == 422
    (fault,) = done.json()["faults"]
    assert fault["file"] == "truss.toml"
    assert fault["where"].endswith("chainage")
    assert "kN" in fault["found"]
    assert house.everything() == before, "nothing was changed, nothing told"


def test_a_stock_that_was_never_worked_out_says_so(house: House):
    found = house.client("bert").get("/api/stock").json()
    assert (found["run"], found["up_to_date"]) == (0, False)
    assert found["missing"] == ["north/girders.toml", "truss.toml"]
    rows = house.client("bert").get("/api/rows", params={"file": "truss.toml"}).json()
    assert rows == {"file": "truss.toml", "tables": {}}


def test_a_stock_is_told_as_its_run_left_it(house: House):
    from bedstone.stock.engine import Done
    from bedstone.stock.run import run
    from bedstone.stock.task import Options, work_out

    class Here:
        def run(self, tasks: Any) -> Any:
            for task in tasks:
                yield Done(task, work_out(task))

    served = house.service.served
    (house.folder / "north" / "girders.toml").write_text("[bridge]\n")
    result = run(served.look(), Options(parts=("schedule",)), served.place, Here())
    found = house.client("bert").get("/api/stock").json()
    assert found["run"] == 1
    assert [item["file"] for item in found["ranking"]] == [item.bridge for item in result.ranking]
    assert [item["file"] for item in found["not_worked_out"]] == ["north/girders.toml"]
    assert found["not_worked_out"][0]["faults"]
    tables = house.client("bert").get("/api/rows", params={"file": "truss.toml"}).json()["tables"]
    with served_view(served) as view:
        wanted = view.execute("SELECT seat, N_max_N FROM seats ORDER BY seat").fetchall()
    got = sorted((row["seat"], row["N_max_N"]) for row in tables["seats"])
    assert got == [(seat, pytest.approx(force)) for seat, force in wanted]


def served_view(served: Any) -> Any:
    from bedstone.stock.store import Store

    store = Store(served.place)
    part, _ = store.kept("truss.toml")
    assert part is not None
    return store.view([part])


def test_changes_of_a_file_from_a_number_on(house: House):
    anna = house.client("anna")
    for file in ("truss.toml", "north/girders.toml", "truss.toml"):
        text, tag = read(anna, file)
        assert put(anna, file, f"# {len(text)}\n{text}", tag).status_code == 200

    def numbers(**asked: Any) -> list[int]:
        found = anna.get("/api/changes", params=asked).json()
        assert found["broken"] == []
        return [change["number"] for change in found["changes"]]

    assert numbers() == [1, 2, 3]
    assert numbers(file="truss.toml") == [1, 3]
    assert numbers(after=1) == [2, 3]
    assert numbers(after=1, limit=1) == [2]
    assert numbers(file="../truss.toml") == []
    assert anna.get("/api/changes", params={"limit": 0}).status_code == 422


def test_the_description_lists_what_there_is(house: House):
    told = house.client("bert").get("/api/openapi.json").json()
    assert set(told["paths"]) == {"/me", "/files", "/stock", "/rows", "/file", "/changes"}
    assert house.client("bert").get("/api/docs").status_code == 404
    assert house.client("bert").get("/api/nothing").json() == {"error": "Not Found"}


# ------------------------------------------------------------------ two at once
def test_of_two_editors_one_is_told_that_it_changed(house: House):
    anna, carla = house.client("anna"), house.client("carla")
    text, tag = read(anna, "truss.toml")
    _, same = read(carla, "truss.toml")
    assert tag == same
    first = put(anna, "truss.toml", f"# anna\n{text}", tag)
    second = put(carla, "truss.toml", f"# carla\n{text}", tag)
    assert (first.status_code, second.status_code) == (200, 412)
    assert (house.folder / "truss.toml").read_text().startswith("# anna")
    assert len(house.lines()) == 1


def test_many_editors_at_the_same_moment_make_one_change(house: House):
    text, tag = read(house.client("anna"), "truss.toml")
    together = threading.Barrier(6)
    found: list[int] = []

    def work(number: int) -> None:
        client = house.client(("anna", "carla")[number % 2])
        together.wait()
        found.append(put(client, "truss.toml", f"# {number}\n{text}", tag).status_code)

    house.write("[limits]\nlong_works = 100\n")
    threads = [threading.Thread(target=work, args=(number,)) for number in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(found) == [200, 412, 412, 412, 412, 412]
    assert len(house.lines()) == 1


def test_what_was_changed_by_hand_is_not_overwritten(house: House):
    anna = house.client("anna")
    text, tag = read(anna, "truss.toml")
    (house.folder / "truss.toml").write_text(f"# by hand\n{text}")
    assert put(anna, "truss.toml", f"# anna\n{text}", tag).status_code == 412


@pytest.mark.parametrize(
    "tag", ["", "*", '"x"', "abc", 'W/"{0}"', "{0}", '"{0}', '"{0}"x', '"' + "0" * 63 + '"']
)
def test_a_text_nobody_has_read_is_not_replaced(house: House, tag: str):
    text, own = read(house.client("anna"), "truss.toml")
    told = tag.format(own.strip('"'))
    done = put(house.client("anna"), "truss.toml", f"# anna\n{text}", told)
    assert done.status_code == 428
    assert house.lines() == []


def test_one_of_several_tags_serves(house: House):
    text, own = read(house.client("anna"), "truss.toml")
    several = f'"{"0" * 64}", {own}'
    assert put(house.client("anna"), "truss.toml", f"# a\n{text}", several).status_code == 200


# ------------------------------------------------------------------ roles
def test_a_reader_changes_nothing(house: House):
    bert = house.client("bert")
    text, tag = read(bert, "truss.toml")
    before = house.everything()
    for headers in ({}, {"X-Forwarded-User": "anna"}, {"X-Role": "editor"}, {"Role": "editor"}):
        done = put(bert, "truss.toml", f"# bert\n{text}", tag, **headers)
        assert (done.status_code, "reader" in done.json()["error"]) == (403, True)
    # a reader learns nothing from what is said of a wrong request
    assert put(bert, "no.toml", text, "").status_code == 403
    for path in ("/api/me", "/api/files", "/api/stock", "/api/changes"):
        assert bert.get(path, params={"role": "editor"}).status_code == 200
    assert house.everything() == before


def test_who_is_made_a_reader_or_taken_out_changes_nothing_more(house: House):
    anna = house.client("anna")
    text, tag = read(anna, "truss.toml")
    house.write(anna="reader")
    assert put(anna, "truss.toml", f"# anna\n{text}", tag).status_code == 403
    house.write(without="anna")
    assert put(anna, "truss.toml", f"# anna\n{text}", tag).status_code == 401
    house.team.write_text("people = 1\n")
    assert put(anna, "truss.toml", f"# anna\n{text}", tag).status_code == 503
    assert house.lines() == []


def test_a_role_that_ends_while_the_body_comes_changes_nothing(house: House):
    """The team file is asked at the writing, not only when the request came in."""
    text, tag = read(house.client("anna"), "truss.toml")

    async def body() -> AsyncIterator[bytes]:
        yield b"# anna\n"
        house.write(anna="reader")
        yield text.encode()

    done = house.client("anna").put(
        "/api/file", params={"file": "truss.toml"}, content=body(),
        headers={"Content-Type": "text/plain", "If-Match": tag},
    )  # fmt: skip
    assert done.status_code == 403
    assert house.lines() == []


def test_a_journal_that_cannot_be_kept_refuses_the_change(house: House):
    anna = house.client("anna")
    text, tag = read(anna, "truss.toml")
    (house.folder / ".bedstone").write_text("in the way")
    done = put(anna, "truss.toml", f"# anna\n{text}", tag)
    assert done.status_code == 503
    assert "journal" in done.json()["error"]
    assert (house.folder / "truss.toml").read_text() == text


# ------------------------------------------------------------------ who gets in
@pytest.mark.parametrize(
    "path",
    ["/api/me", "/api/files", "/api/stock", "/api/changes", "/api/openapi.json", "/", "/bridge",
     "/api/file?file=truss.toml", "/api/rows?file=truss.toml", "/api", "/api/", "/sign-out",
     "/sign-in/", "/sign-in/../api/me", "/SIGN-IN", "//sign-in", "/_nicegui_ws/socket.io/"],
)  # fmt: skip
def test_nobody_gets_nothing(house: House, path: str):
    for headers in ({}, {"Authorization": "Bearer x"}, {"X-Forwarded-User": "anna"}):
        found = house.client(peer="127.0.0.1").get(path, headers=headers)
        assert found.status_code == 401, path
        assert found.headers["www-authenticate"] == "Bearer"


def test_a_browser_is_shown_the_way(house: House):
    found = house.client().get("/", headers={"Accept": "text/html"})
    assert (found.status_code, found.headers["location"]) == (303, "/sign-in")


@pytest.mark.parametrize("peer", ["192.0.2.7", "127.0.0.1", "11.0.0.1", "::1"])
def test_a_header_of_anyone_but_the_proxy_is_refused(tmp_path: Path, peer: str):
    house = House(tmp_path, PROXY)
    told = {"X-Forwarded-User": "anna"}
    assert house.client(peer="10.0.0.1").get("/api/me", headers=told).json()["name"] == "anna"
    for who in ("", "bert"):
        assert house.client(who, peer=peer).get("/api/me", headers=told).status_code == 403
    more = told | {
        "X-Forwarded-For": "10.0.0.1",
        "Forwarded": "for=10.0.0.1",
        "X-Real-IP": "10.0.0.1",
    }
    assert house.client(peer=peer).get("/api/me", headers=more).status_code == 403


@pytest.mark.parametrize(
    ("origin", "status"),
    [
        (PUBLIC, 200),
        ("http://bridges.example.org", 403),
        ("https://bridges.example.org:8443", 403),
        ("https://bridges.example.org.bad.example", 403),
        ("https://bad.example", 403),
        ("https://sub.bridges.example.org", 403),
        ("null", 403),
        ("", 403),
    ],
)
def test_another_site_is_refused(house: House, origin: str, status: int):
    anna = house.client("anna")
    assert anna.get("/api/me", headers={"Origin": origin}).status_code == status
    text, tag = read(anna, "truss.toml")
    assert put(anna, "truss.toml", f"#\n{text}", tag, Origin=origin).status_code == status


@pytest.mark.parametrize(
    ("host", "status"),
    [
        ("bridges.example.org", 200), ("bridges.example.org:443", 200), ("localhost", 200),
        ("bridges.example.org:80", 403), ("bad.example", 403), ("", 403),
        ("bridges.example.org@bad.example", 403), ("bridges.example.org.", 403),
    ],
)  # fmt: skip
def test_another_name_is_refused(house: House, host: str, status: int):
    assert house.client("anna").get("/api/me", headers={"Host": host}).status_code == status


def test_answers_may_not_be_framed_or_guessed(house: House):
    for found in (house.client("anna").get("/api/me"), house.client().get("/sign-in")):
        assert "frame-ancestors 'none'" in found.headers["content-security-policy"]
        assert found.headers["x-content-type-options"] == "nosniff"


# ------------------------------------------------------------------ signing in
def signed_in(house: House, who: str = "anna", base: str = PUBLIC) -> Any:
    client = house.client(base=base)
    done = client.post("/sign-in", data={"token": house.tokens[who]})
    assert (done.status_code, done.headers["location"]) == (303, "/")
    return client, done.headers["set-cookie"]


def test_a_token_is_exchanged_for_a_cookie(house: House):
    client, told = signed_in(house)
    assert client.get("/api/me").json()["name"] == "anna"
    words = {word.strip().lower() for word in told.split(";")}
    assert {"httponly", "samesite=strict", "secure", "path=/", "max-age=43200"} <= words
    assert told.startswith("__Host-bedstone=")
    assert house.tokens["anna"] not in told


def test_at_this_machine_by_http_the_cookie_is_not_secure(house: House):
    client, told = signed_in(house, base="http://127.0.0.1:8765")
    words = {word.strip().lower() for word in told.split(";")}
    assert "secure" not in words
    assert {"httponly", "samesite=strict"} <= words
    assert client.get("/api/me").json()["name"] == "anna"


def test_a_copy_of_the_cookie_ends_at_sign_out(house: House):
    client, told = signed_in(house)
    copy = {"Cookie": told.partition(";")[0]}
    assert house.client().get("/api/me", headers=copy).status_code == 200
    out = client.post("/sign-out")
    assert (out.status_code, out.headers["location"]) == (303, "/sign-in")
    assert house.client().get("/api/me", headers=copy).status_code == 401
    assert client.get("/api/me").status_code == 401
    assert house.client("anna").post("/sign-out").status_code == 303


def test_sign_out_from_another_site_is_refused(house: House):
    client, _ = signed_in(house)
    bad = client.post("/sign-out", headers={"Origin": "https://bad.example"})
    assert bad.status_code == 403
    assert client.get("/api/me").status_code == 200
    assert client.get("/sign-out").status_code == 405


@pytest.mark.parametrize(
    "data",
    [{}, {"token": ""}, {"token": "anna"}, {"token": "bedstone-" + "A" * 43}, {"name": "anna"},
     {"token": "x" * 100_000}, {"token": "\0"}, {str(n): "x" for n in range(9)}],
)  # fmt: skip
def test_a_false_token_is_not_exchanged(house: House, data: dict[str, str]):
    done = house.client().post("/sign-in", data=data)
    assert done.status_code == 401
    assert "set-cookie" not in done.headers
    assert "not known" in done.text


def test_a_form_of_many_fields_is_not_read(house: House):
    many = {str(number): "x" for number in range(500)}
    done = house.client().post("/sign-in", data=many)
    assert done.status_code == 401


def test_tokens_are_not_tried_without_end(house: House):
    client = house.client()
    found = [client.post("/sign-in", data={"token": "x"}).status_code for _ in range(31)]
    assert found == [401] * 30 + [429]
    assert client.post("/sign-in").headers["retry-after"] == "2"
    assert house.client("anna").get("/api/me").status_code == 200, "others are not held up"


def test_behind_a_proxy_one_address_does_not_hold_up_the_others(tmp_path: Path):
    house = House(tmp_path, PROXY)
    client = house.client(peer="10.0.0.1")

    def attempt(place: str) -> int:
        headers = {"X-Forwarded-For": f"{place}, {place}"}
        return client.post("/sign-in", data={"token": "x"}, headers=headers).status_code

    assert [attempt("198.51.100.1") for _ in range(31)] == [401] * 30 + [429]
    assert attempt("198.51.100.2") == 401
    # from elsewhere nobody is asked where they come from
    client = house.client(peer="192.0.2.1")
    assert [attempt(f"198.51.100.{number}") for number in range(31)] == [401] * 30 + [429]


def test_the_page_to_sign_in_is_not_there_without_tokens(tmp_path: Path):
    house = House(tmp_path)
    house.team.write_text(PROXY + '[people.anna]\nrole = "editor"\n')
    found = house.client(base="http://localhost").get("/sign-in", headers={"Accept": "text/html"})
    assert found.status_code == 401


# ------------------------------------------------------------------ paths
PATHS = [
    "../team.toml", "..%2fteam.toml", "%2e%2e/team.toml", "%2e%2e%2fteam.toml",
    "..\\team.toml", "..%5cteam.toml", "%252e%252e%252fteam.toml", "north/../../team.toml",
    "north/..", "north", "", ".", "..", "/", "//", "./truss.toml", "north//girders.toml",
    "north/./girders.toml", "north/../truss.toml", "truss.toml/", "truss.toml/.", "truss.toml\0",
    "truss.toml%00", "\0", "truss.toml%00.toml", "/etc/passwd", "//etc/passwd",
    "file:///etc/passwd", "C:\\windows\\win.ini", "C:/windows/win.ini", "\\\\host\\share\\a.toml",
    "{absolute}", "{team}", "~/truss.toml", "~root/truss.toml", "link.toml", "way/out.toml",
    "ring.toml", ".bedstone/changes.jsonl", ".bedstone/changes.head", ".hidden/truss.toml",
    "notes.toml", "table.csv", "truss.readings.duckdb", "TRUSS.TOML", "truss.toml ", " truss.toml",
    "truss.toml\n", "truss.toml;", "truss.toml?", "truss.toml#", "truss.toml::$DATA",
    "．．／team.toml", "‥/team.toml", "..∕team.toml", "..⁄team.toml", "trus\u017f.toml",
    "tru\u0455s.toml", "truss\u2024toml", "\ufefftruss.toml", "t\u200brussa.toml", "con.toml",
    "a" * 999, "../" * 300 + "etc/passwd", "x/" * 490 + "a.toml", "%c0%ae%c0%ae/team.toml",
    "..;/team.toml", "....//team.toml", "..././team.toml", "truss.toml,north/girders.toml",
    "*", "*.toml", "**/*.toml", "[t]russ.toml", "{truss,north}.toml", "$HOME/truss.toml",
    "`id`.toml", "|id", "'; DROP TABLE seats; --", "s3://bucket/truss.toml",
    "http://127.0.0.1/truss.toml", "\ud7ff.toml", "\U0010ffff.toml", "nul\u0000/../../team.toml",
]  # fmt: skip


@pytest.fixture
def crooked(house: House, tmp_path: Path) -> House:
    """The same with links and files that are no bridges."""
    (tmp_path / "out.toml").write_bytes((EXAMPLES / "truss.toml").read_bytes())
    (house.folder / "link.toml").symlink_to(tmp_path / "out.toml")
    (house.folder / "way").symlink_to(tmp_path)
    (house.folder / "ring.toml").symlink_to(house.folder / "ring.toml")
    (house.folder / ".hidden").mkdir()
    (house.folder / ".hidden" / "truss.toml").write_bytes((EXAMPLES / "truss.toml").read_bytes())
    (house.folder / "notes.toml").write_text("a = 1\n")
    (house.folder / "table.csv").write_text("a\n1\n")
    return house


@pytest.mark.parametrize("path", PATHS, ids=range(len(PATHS)))
def test_no_path_leads_to_anything_but_a_bridge_file(crooked: House, tmp_path: Path, path: str):
    house = crooked
    text, tag = read(house.client("anna"), "truss.toml")
    before = {file: file.read_bytes() for file in sorted(tmp_path.rglob("*")) if file.is_file()}
    told = path.replace("{absolute}", str(house.folder / "truss.toml"))
    told = told.replace("{team}", str(house.team))
    anna = house.client("anna")
    for where in ("/api/file", "/api/rows"):
        for asked in (f"{where}?file={told}", None):
            try:
                found = anna.get(asked) if asked else anna.get(where, params={"file": told})
            except httpx.InvalidURL:  # an address that the client itself refuses to send
                continue
            if asked and found.status_code == 200:  # a part behind ? # ; is none of the path
                assert found.text == text or where == "/api/rows"
                continue
            assert found.status_code in (404, 422), (where, told, found.text[:200])
            assert text[:40] not in found.text
    done = put(anna, told, f"# anna\n{text}", tag)
    assert done.status_code in (404, 422), told
    after = {file: file.read_bytes() for file in sorted(tmp_path.rglob("*")) if file.is_file()}
    assert after == before
    assert house.lines() == []


@pytest.mark.parametrize("path", PATHS, ids=range(len(PATHS)))
def test_no_name_of_an_upload_leads_out_of_the_folder(crooked: House, path: str):
    """As the page of the file takes it: any plain name may be, no way out."""
    from bedstone.errors import InputError

    told = path.replace("{absolute}", str(crooked.folder / "truss.toml"))
    told = told.replace("{team}", str(crooked.team))
    try:
        found = inside(crooked.folder, told)
    except InputError:
        return
    assert found.parent == crooked.folder.resolve()


# ------------------------------------------------------------------ sizes
def raw(
    house: House, parts: list[bytes], *headers: tuple[bytes, bytes], path: str = "/api/file"
) -> tuple[int, int]:
    """The status of a PUT whose body comes in parts, and how many of them were taken."""
    taken, sent = 0, []
    token = f"Bearer {house.tokens['anna']}".encode()
    own = [(b"host", b"localhost"), (b"authorization", token), (b"content-type", b"text/plain")]
    tag = sha((house.folder / "truss.toml").read_bytes())
    own += [(b"if-match", f'"{tag}"'.encode()), *headers]

    async def receive() -> dict[str, Any]:
        nonlocal taken
        taken += 1
        if taken > 100_000:
            raise AssertionError("a body without end is taken without end")
        part = parts[min(taken, len(parts)) - 1]
        return {"type": "http.request", "body": part, "more_body": taken < len(parts) or endless}

    async def send(message: Any) -> None:
        sent.append(message)

    endless = len(parts) == 1
    scope = {
        "type": "http", "method": "PUT", "path": path, "raw_path": path.encode(), "root_path": "",
        "query_string": b"file=truss.toml", "headers": own, "client": ("192.0.2.7", 1),
        "server": ("localhost", 80), "scheme": "http", "http_version": "1.1", "asgi": {},
    }  # fmt: skip
    asyncio.run(house.guarded(scope, receive, send))
    return sent[0]["status"], taken


def test_a_body_that_is_said_to_be_large_is_not_taken(house: House):
    for length in (b"20100001", b"9" * 30, b"-1", b"x", b"", b"1e3", b"0x10"):
        status, taken = raw(house, [b"x"], (b"content-length", length))
        assert (status, taken) == (413, 0), length


def test_a_body_that_says_less_than_it_is_is_cut_off(house: House):
    status, taken = raw(house, [b"x" * 1_000_000], (b"content-length", b"10"))
    assert (status, taken) == (413, 21)


def test_a_body_without_end_is_cut_off(house: House):
    status, taken = raw(house, [b"x" * 1_000_000], (b"transfer-encoding", b"chunked"))
    assert (status, taken) == (413, 21)
    house.write("[limits]\nbody = 5000\n")
    assert raw(house, [b"x" * 1000]) == (413, 6)


def test_a_text_larger_than_a_bridge_file_is_refused(house: House):
    assert raw(house, [b"#" * 1_000_001, b""])[0] == 413


def test_a_head_without_end_is_refused(house: House):
    for headers in ([(b"x", b"y" * 40_000)], [(f"x{n}".encode(), b"y") for n in range(9000)]):
        assert raw(house, [b""], *headers)[0] == 431


@pytest.mark.parametrize(
    "body",
    [
        b"a = " + b"[" * 500_000, b"[" + b"a." * 400 + b"a]", b"a" + b".a" * 400_000 + b" = 1",
        b"a = " + b"{a = " * 5000 + b"1", b"a = '" + b"\\" * 900_000, b"\xff\xfe\0a", b"\0" * 1000,
        b"a = " + b"9" * 900_000, b"[[a]]\n" * 150_000, b"a = 1\n" * 100_000, b"\xed\xa0\x80",
        json.dumps({"a": 1}).encode(), b"PK\x03\x04" + b"\0" * 100,
        gzip.compress(b"x" * 10_000_000),
        b"!!python/object/apply:os.system ['id']", b"\x80\x04\x95cos\nsystem\n(S'id'\ntR.",
        b"#" * 999_999, b"\r" * 999_999, b'a = """' + b"x" * 900_000, b"",
    ],
)  # fmt: skip
def test_a_body_that_is_no_bridge_is_told_its_faults(house: House, body: bytes):
    before = house.everything()
    status, _ = raw(house, [body, b""])
    assert status == 422
    assert house.everything() == before


def test_no_packed_body_is_unpacked(house: House):
    """A file of packed zeros is small on its way and large in memory."""
    bomb = gzip.compress(b"#" * 50_000_000)
    assert len(bomb) < 60_000
    for coding in (b"gzip", b"deflate", b"br", b"gzip, identity"):
        assert raw(house, [bomb, b""], (b"content-encoding", coding))[0] == 415
    for kind in (b"application/zip", b"application/json", b"multipart/form-data", b""):
        own = (b"content-type", kind)
        house_client = house.client("anna")
        text, tag = read(house_client, "truss.toml")
        headers = {"Content-Type": own[1].decode(), "If-Match": tag}
        done = house_client.put(
            "/api/file", params={"file": "truss.toml"}, content=text.encode(), headers=headers
        )
        assert done.status_code == 415
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/workbook.xml", b"0" * 10_000_000)
    from bedstone.errors import InputError

    for name, data in (
        ("a.xlsx", packed.getvalue()), ("a.csv.gz", bomb), ("a.zip", packed.getvalue()),
        ("a.toml", bomb), ("a.csv", packed.getvalue()), ("a.duckdb", b""), ("a.parquet", b""),
    ):  # fmt: skip
        with pytest.raises(InputError):
            uploaded(name, data)


# ------------------------------------------------------------------ too often, too much
def test_too_many_requests_are_told_to_wait(house: House):
    house.write("[limits]\nrequests_a_minute = 30\n")
    anna = house.client("anna")
    found = [anna.get("/api/me").status_code for _ in range(31)]
    assert found == [200] * 30 + [429]
    refused = anna.get("/api/me")
    assert int(refused.headers["retry-after"]) >= 1
    assert refused.json() == {"error": "too many requests; wait a little"}
    assert house.client("carla").get("/api/me").status_code == 200


def test_long_works_of_one_person_at_once_are_bounded(house: House):
    house.write("[limits]\nlong_works = 1\n")
    with house.service.works.work("anna", 1):
        assert house.client("anna").get("/api/stock").status_code == 429
        text, tag = read(house.client("anna"), "truss.toml")
        assert put(house.client("anna"), "truss.toml", f"#\n{text}", tag).status_code == 429
        assert house.client("bert").get("/api/stock").status_code == 200
    assert house.client("anna").get("/api/stock").status_code == 200


def test_pages_of_one_person_are_bounded(house: House):
    house.write("[limits]\nopen_pages = 3\n")
    house.guarded.pages = lambda name: {"anna": 3, "bert": 2}[name]
    for path in ("/", "/bridge", "/results", "/changes"):
        assert house.client("anna").get(path).status_code == 429
        assert house.client("bert").get(path).status_code == 404, "no page is made here"
    assert house.client("anna").get("/api/me").status_code == 200


def test_what_belongs_to_a_page_is_taken_from_its_person_alone(house: House):
    house.guarded.owner = lambda scope: "anna" if "/4f/" in scope["path"] else None
    path = "/_nicegui/client/4f/upload/7"
    assert house.client("anna").post(path).status_code == 404, "let through"
    assert house.client("bert").post(path).status_code == 403
    assert house.client("carla").post(path).status_code == 403
    assert house.client("bert").post("/_nicegui/client/5a/upload/7").status_code == 404


# ------------------------------------------------------------------ without a team
def test_without_a_team_this_machine_alone_may_and_is_told_in_the_journal(house: House):
    from fastapi import FastAPI
    from team_cases import Client

    from bedstone.workspace.people import at_this_machine
    from bedstone.workspace.safety import Guard
    from bedstone.workspace.team import attach

    people, app = at_this_machine(), FastAPI()
    attach(app, people, house.service.served)
    guarded = Guard(app, people=people)

    def client(peer: str, base: str = "http://localhost:8765", **headers: str) -> Client:
        return Client(guarded, base, headers, peer)

    own = client("127.0.0.1")
    text, tag = read(own, "truss.toml")
    assert put(own, "truss.toml", f"# mine\n{text}", tag).status_code == 200
    (change,) = own.get("/api/changes").json()["changes"]
    assert (change["way"], change["peer"], change["role"]) == (
        "this machine",
        "127.0.0.1",
        "editor",
    )
    for peer in ("192.0.2.1", "10.0.0.1"):
        assert client(peer).get("/api/me").status_code == 403
        assert client(peer, **{"X-Forwarded-For": "127.0.0.1"}).get("/api/me").status_code == 403
    bad = client("127.0.0.1", Origin="https://bad.example")
    assert bad.get("/api/me").status_code == 403
    assert client("127.0.0.1", base="http://bad.example").get("/api/me").status_code == 403
    assert own.get("/sign-in").status_code == 200, "there is nothing to sign in to"
    assert own.post("/sign-in", data={"token": "x"}).status_code == 401
