"""Who a request is from: names of a trusted proxy, tokens, cookies; a team file that changes."""

from __future__ import annotations

from pathlib import Path

import pytest

from bedstone.errors import InputError
from bedstone.workspace import people as room
from bedstone.workspace.limits import Rates, Works
from bedstone.workspace.people import (
    People,
    RefusedError,
    at_this_machine,
    new_token,
    read_people,
    read_team,
    token_hash,
)
from bedstone.workspace.sessions import Sessions
from bedstone.workspace.team import people_of

TOKENS = {name: new_token() for name in ("anna", "bert")}
LISTED = "".join(
    f'[people.{name}]\nrole = "{role}"\ntoken = "{token_hash(TOKENS[name])}"\n'
    for name, role in (("anna", "editor"), ("bert", "reader"))
)
PROXY = '[proxy]\nheader = "X-Forwarded-User"\ntrusted = ["10.0.0.0/8", "127.0.0.1", "::1"]\n'


@pytest.fixture
def team(tmp_path: Path) -> Path:
    file = tmp_path / "team.toml"
    file.write_text(LISTED)
    return file


@pytest.fixture
def people(team: Path) -> People:
    return read_people(team)


def come(people: People, *headers: tuple[str, str | bytes], peer: str = "10.1.2.3") -> str:
    """Name and way of a request."""
    told = [
        (name.lower().encode(), value if isinstance(value, bytes) else value.encode())
        for name, value in headers
    ]
    visitor = people.visitor(told, peer, "bedstone")
    return f"{visitor.person.name} {visitor.person.role} by {visitor.way}"


def refusal(people: People, *headers: tuple[str, str | bytes], peer: str = "10.1.2.3") -> int:
    with pytest.raises(RefusedError) as caught:
        come(people, *headers, peer=peer)
    return caught.value.status


# ------------------------------------------------------------------ the file
@pytest.mark.parametrize(
    ("text", "where", "allowed"),
    [
        ("", "people", "at least one person"),
        ('[people.anna]\nrole = "owner"\n', "people.anna.role", "'reader' or 'editor'"),
        ('[people.anna]\nrole = "editor"\n', "people.anna.token", "a token"),
        ('[people.anna]\nrole = "editor"\ntoken = "secret"\n', "people.anna.token", "sha256"),
        ('[people.anna]\nrole = "editor"\ntoken = "md5:00"\n', "people.anna.token", "sha256"),
        (LISTED + "[people.anna.more]\n", "people.anna.more", "docs/team.md"),
        (LISTED + '[others]\nrole = "reader"\n', "others", "[proxy]"),
        (PROXY + '[others]\nrole = "editor"\n', "others.role", "reader"),
        (PROXY.replace("10.0.0.0/8", "10.0.0.0/99") + LISTED, "proxy.trusted[1]", "network"),
        (PROXY.replace("X-Forwarded-User", "X User") + LISTED, "proxy.header", "pattern"),
        (LISTED + '[public]\naddresses = ["ftp://a"]\n', "public.addresses[1]", "https://"),
        (LISTED + '[public]\naddresses = ["https://a/b"]\n', "public.addresses[1]", "no path"),
        (LISTED + "[limits]\nrequests_a_minute = 0\n", "limits.requests_a_minute", "1"),
        (LISTED + '[limits]\nbody = "1 MB"\n', "limits.body", "whole number"),
        (PROXY + '[people."a, b"]\nrole = "reader"\n', "people", "no comma"),
        (PROXY + '[people." a"]\nrole = "reader"\n', "people", "no blank"),
        ("[people", "file", "valid TOML"),
        ("x = " + "[" * 5000, "file", "valid TOML"),
    ],
)
def test_faults_of_a_team_file(text: str, where: str, allowed: str):
    with pytest.raises(InputError) as caught:
        read_team(text, "team.toml")
    fault = caught.value.faults[0]
    assert (fault.file, fault.where) == ("team.toml", where)
    assert allowed in fault.allowed


def test_all_faults_are_told_at_once():
    with pytest.raises(InputError) as caught:
        read_team('[people.a]\nrole = "x"\n[people.b]\nrole = "y"\n[who]\n', "team.toml")
    assert len(caught.value.faults) == 3


def test_one_token_for_two_is_refused():
    text = LISTED.replace(token_hash(TOKENS["bert"]), token_hash(TOKENS["anna"]))
    with pytest.raises(InputError, match="one token twice"):
        read_team(text, "team.toml")


# ------------------------------------------------------------------ tokens
def test_tokens_are_random_and_only_their_hash_is_kept():
    made = {new_token() for _ in range(100)}
    assert len(made) == 100
    # 32 bytes of the system's random source in base64: 43 letters (RFC 4648, 6 bits each)
    assert {len(token) for token in made} == {len("bedstone-") + 43}
    # SHA-256 of "abc": FIPS 180-2, appendix B.1
    told = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert token_hash("abc") == f"sha256:{told}"


def test_a_token_tells_its_person(people: People):
    assert come(people, ("Authorization", f"Bearer {TOKENS['anna']}")) == "anna editor by token"
    assert come(people, ("Authorization", f"bearer {TOKENS['bert']}")) == "bert reader by token"


@pytest.mark.parametrize(
    "told",
    [
        "", "Bearer", "Bearer ", "Bearer anna", f"Bearer {new_token()}", f"Basic {TOKENS['anna']}",
        f"Bearer {TOKENS['anna']}x", f"Bearer {TOKENS['anna'][:-1]}", TOKENS["anna"],
        f"Bearer {token_hash(TOKENS['anna'])}", f"Bearer {TOKENS['anna'].upper()}",
        f"Bearer {TOKENS['anna']}, Bearer {TOKENS['bert']}", b"Bearer \xff\xfe",
    ],
    ids=lambda _: "",  # tokens are random: workers of a test run must find the same names
)  # fmt: skip
def test_anything_else_is_nobody(people: People, told: str | bytes):
    assert refusal(people, ("Authorization", told)) == 401


def test_two_tokens_are_nobody(people: People):
    both = [("Authorization", f"Bearer {TOKENS[name]}") for name in ("anna", "bert")]
    assert refusal(people, *both) == 401
    assert refusal(people) == 401


def test_a_token_is_compared_with_all_in_constant_time(
    people: People, monkeypatch: pytest.MonkeyPatch
):
    compared: list[tuple[str, str]] = []

    def compare(one: str, other: str) -> bool:
        compared.append((one, other))
        return one == other

    monkeypatch.setattr(room.hmac, "compare_digest", compare)
    assert come(people, ("Authorization", f"Bearer {TOKENS['anna']}")).startswith("anna")
    assert [one for one, _ in compared] == [token_hash(TOKENS[name]) for name in ("anna", "bert")]
    # a comparison that does not ask it lets nobody in here, or everybody
    monkeypatch.setattr(room.hmac, "compare_digest", lambda *_: False)
    assert refusal(people, ("Authorization", f"Bearer {TOKENS['anna']}")) == 401


def test_a_password_somebody_hashed_by_hand_is_no_token(team: Path):
    team.write_text(f'[people.anna]\nrole = "editor"\ntoken = "{token_hash("secret")}"\n')
    assert refusal(read_people(team), ("Authorization", "Bearer secret")) == 401


# ------------------------------------------------------------------ proxy
@pytest.fixture
def behind(team: Path) -> People:
    team.write_text(PROXY + LISTED)
    return read_people(team)


@pytest.mark.parametrize("peer", ["10.0.0.1", "10.255.0.9", "127.0.0.1", "::1", "::ffff:10.0.0.1"])
def test_a_trusted_proxy_is_believed(behind: People, peer: str):
    assert come(behind, ("X-Forwarded-User", "anna"), peer=peer) == "anna editor by proxy"


@pytest.mark.parametrize("peer", ["192.0.2.1", "11.0.0.1", "127.0.0.2", "::2", "", "10.0.0.1.x"])
def test_nobody_else_is(behind: People, peer: str):
    assert refusal(behind, ("X-Forwarded-User", "anna"), peer=peer) == 403
    token = ("Authorization", f"Bearer {TOKENS['bert']}")
    assert refusal(behind, ("X-Forwarded-User", "anna"), token, peer=peer) == 403


@pytest.mark.parametrize(
    "headers",
    [
        [("X-Forwarded-User", "anna"), ("X-Forwarded-User", "anna")],
        [("X-Forwarded-User", "bert"), ("X-Forwarded-User", "anna")],
        [("X-Forwarded-User", "bert"), ("X_Forwarded_User", "anna")],
        [("X_Forwarded_User", "anna")],
        [("X-Forwarded_User", "anna")],
        [("X-Forwarded-User", "anna, bert")],
        [("X-Forwarded-User", b"\xff")],
        [("X-Forwarded-User", "")],
        [("X-Forwarded-User", "nobody")],
        [("X-Forwarded-User", "ANNA")],
        [("X-Forwarded-User", "аnna")],  # a Cyrillic letter that looks like a
        [("X-Forwarded-User", "anna\u200b")],  # a blank of no width
    ],
)
def test_names_that_are_not_plain_are_refused(
    behind: People, headers: list[tuple[str, str | bytes]]
):
    assert refusal(behind, *headers) == 403


def test_only_the_header_of_the_file_is_read(behind: People, people: People):
    assert refusal(behind, ("X-Remote-User", "anna")) == 401
    # the same file without [proxy]: what is said there is nobody's
    team = behind.path
    assert team is not None
    team.write_text(LISTED)
    assert refusal(behind, ("X-Forwarded-User", "anna")) == 401


def test_without_a_name_of_the_proxy_a_token_serves(behind: People):
    assert come(behind, ("Authorization", f"Bearer {TOKENS['bert']}")) == "bert reader by token"
    # beside a name it does not: what a proxy passes on is not ours
    both = [("X-Forwarded-User", "bert"), ("Authorization", f"Bearer {TOKENS['anna']}")]
    assert come(behind, *both) == "bert reader by proxy"


def test_others_are_readers_if_the_file_says_so(behind: People):
    assert refusal(behind, ("X-Forwarded-User", "dora")) == 403
    assert behind.path is not None
    behind.path.write_text(PROXY + LISTED + '[others]\nrole = "reader"\n')
    assert come(behind, ("X-Forwarded-User", "dora")) == "dora reader by proxy"
    assert refusal(behind, ("X-Forwarded-User", "anna, dora")) == 403
    assert refusal(behind, ("X-Forwarded-User", "d" * 101)) == 403


def test_the_address_before_the_proxy_is_kept(behind: People):
    told = [(b"x-forwarded-user", b"anna"), (b"x-forwarded-for", b"1.2.3.4, 198.51.100.9")]
    visitor = behind.visitor(told, "10.0.0.1", "bedstone")
    # the last one is what our proxy saw; those before were told to it
    assert (visitor.peer, visitor.forwarded) == ("10.0.0.1", "198.51.100.9")
    token = [(b"authorization", f"Bearer {TOKENS['anna']}".encode()), told[1]]
    assert behind.visitor(token, "192.0.2.1", "bedstone").forwarded == "", "no proxy said that"


# ------------------------------------------------------------------ the file changes
def test_who_is_taken_out_is_out_at_once(team: Path, people: People):
    token = ("Authorization", f"Bearer {TOKENS['anna']}")
    assert come(people, token).startswith("anna editor")
    team.write_text(LISTED.replace('"editor"', '"reader"'))
    assert come(people, token).startswith("anna reader")
    team.write_text(LISTED[LISTED.index("[people.bert]") :])
    assert refusal(people, token) == 401


def test_while_the_file_has_faults_nobody_gets_in(team: Path, people: People):
    token = ("Authorization", f"Bearer {TOKENS['anna']}")
    for text in (LISTED + "[", "", LISTED.replace("editor", "owner")):
        team.write_text(text)
        assert refusal(people, token) == 503
        assert refusal(people, token) == 503, "also when it is asked for again"
    team.unlink()
    assert refusal(people, token) == 503
    team.write_text(LISTED)
    assert come(people, token).startswith("anna editor")


# ------------------------------------------------------------------ cookies
def test_a_cookie_holds_until_sign_out(people: People):
    value = people.sign_in(TOKENS["anna"])
    assert value is not None
    assert people.sign_in(new_token()) is None
    cookie = ("Cookie", f"other=1; bedstone={value}")
    assert come(people, cookie) == "anna editor by cookie"
    people.sessions.end(value, people.team.tokens)
    assert refusal(people, cookie) == 401, "a copy that somebody kept is worth nothing"
    again = people.sign_in(TOKENS["anna"])
    assert come(people, ("Cookie", f"bedstone={again}")) == "anna editor by cookie"


def test_a_cookie_ends_with_its_token(team: Path, people: People):
    value = people.sign_in(TOKENS["anna"])
    team.write_text(LISTED.replace(token_hash(TOKENS["anna"]), token_hash(new_token())))
    assert refusal(people, ("Cookie", f"bedstone={value}")) == 401


def touched(value: str) -> tuple[str, ...]:
    """Cookies that somebody made of a good one."""
    name, until, number, mark = value.split(".")
    anna = "YW5uYQ"  # base64 of "anna", RFC 4648
    longer = str(int(until) + 1)
    return (
        f"{anna}.{until}.{number}.{mark}", f"{name}.{longer}.{number}.{mark}",
        f"{name}.{until}.x{number}.{mark}", f"{name}.{until}.{number}.", f"{name}.{until}.{number}",
        f"{name}.{until}.{number}.{mark[:-1]}", "", "...", f"{name}.-1.{number}.{mark}",
        value + "x", "x" * 5000, f"{name}.{'9' * 5000}.{number}.{mark}", "ä.1.b.c", "é" * 20,
    )  # fmt: skip


def test_a_cookie_that_was_touched_is_nobody(people: People):
    value = people.sign_in(TOKENS["bert"])
    assert value is not None
    for told in touched(value):
        assert refusal(people, ("Cookie", f"bedstone={told}".encode("latin-1", "replace"))) == 401
    twice = ("Cookie", f"bedstone={value}; bedstone={value}")
    assert refusal(people, twice) == 401
    assert refusal(people, ("Cookie", f"bedstone={value}"), ("Cookie", "bedstone=x")) == 401
    assert come(people, ("Cookie", f"bedstone={value}")) == "bert reader by cookie"


def test_a_cookie_of_another_run_is_nobody(team: Path, people: People):
    value = people.sign_in(TOKENS["anna"])
    assert refusal(read_people(team), ("Cookie", f"bedstone={value}")) == 401


def test_a_cookie_ends_by_itself():
    now = [1000.0]
    sessions = Sessions(lasts=60.0, clock=lambda: now[0])
    value = sessions.begin("anna", "sha256:1")
    assert sessions.holder(value, {"anna": "sha256:1"}) == "anna"
    now[0] += 61.0
    assert sessions.holder(value, {"anna": "sha256:1"}) is None


# ------------------------------------------------------------------ this machine, no team
@pytest.mark.parametrize("peer", ["127.0.0.1", "127.9.9.9", "::1"])
def test_without_a_team_it_is_the_person_at_this_machine(peer: str):
    assert come(at_this_machine(), peer=peer).endswith("editor by this machine")


@pytest.mark.parametrize("peer", ["192.0.2.1", "10.0.0.1", "", "testclient"])
def test_without_a_team_nobody_comes_from_elsewhere(peer: str):
    assert refusal(at_this_machine(), peer=peer) == 403


def test_another_host_needs_a_team(tmp_path: Path, team: Path):
    folder = tmp_path / "bridges"
    folder.mkdir()
    assert people_of("127.0.0.1", None, folder).alone
    assert people_of("localhost", None, folder).alone
    for host in ("0.0.0.0", "::", "192.0.2.1", "bridges.example.org"):
        with pytest.raises(InputError, match="--team"):
            people_of(host, None, folder)
    assert not people_of("0.0.0.0", team, folder).alone


def test_the_team_file_lies_outside_of_the_folder(tmp_path: Path, team: Path):
    with pytest.raises(InputError, match="outside of the folder"):
        people_of("127.0.0.1", team, tmp_path)
    (tmp_path / "bridges").mkdir()
    (tmp_path / "link.toml").symlink_to(tmp_path / "bridges" / "team.toml")
    (tmp_path / "bridges" / "team.toml").write_text(LISTED)
    with pytest.raises(InputError, match="outside of the folder"):
        people_of("127.0.0.1", tmp_path / "link.toml", tmp_path / "bridges")


# ------------------------------------------------------------------ limits
def test_requests_come_back_with_time():
    now = [0.0]
    rates = Rates(lambda: now[0])
    for _ in range(60):
        rates.take("anna", 60)
    with pytest.raises(RefusedError) as caught:
        rates.take("anna", 60)
    assert (caught.value.status, caught.value.wait) == (429, 1)
    rates.take("bert", 60)  # not held up by her
    now[0] = 1.0
    rates.take("anna", 60)
    with pytest.raises(RefusedError):
        rates.take("anna", 60)
    now[0] = 1000.0
    for _ in range(60):  # no more than a minute's are saved up
        rates.take("anna", 60)
    with pytest.raises(RefusedError):
        rates.take("anna", 60)


def test_names_without_end_are_forgotten():
    now = [0.0]
    rates = Rates(lambda: now[0])
    for number in range(10_500):
        now[0] += 0.1
        rates.take(str(number), 60)
    assert len(rates._left) < 10_500


def test_long_works_of_one_person_are_counted():
    works = Works()
    with works.work("anna", 2), works.work("anna", 2):
        with pytest.raises(RefusedError, match="2 of your works"), works.work("anna", 2):
            raise AssertionError("not let in")
        with works.work("bert", 2):
            pass
    with pytest.raises(ZeroDivisionError), works.work("anna", 1):
        1 / 0  # noqa: B018 - a work that fails is over, too
    with works.work("anna", 1):
        pass
