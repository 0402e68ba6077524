"""Changing one setting: what was in the file stays, and the file is whole at every instant."""

from __future__ import annotations

import errno
import os
import tempfile
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from drill.errors import DrillError, ExitCode, FaultsError, UsageError
from drill.memory.kinds import Kind
from drill.places import places
from drill.settings.catalogue import BY_NAME, FIELDS, Field, Shape, value_of
from drill.settings.keymap import KnownAction
from drill.settings.load import Layer, load
from drill.settings.reading import spelled
from drill.settings.values import Remap
from drill.settings.write import write_setting
from drill.shown import is_harmful

ACTIONS = (
    KnownAction("stand.mute", ("f2",), ("stand",)),
    KnownAction("stand.hear", ("f3",), ("stand",)),
    KnownAction("stand.type", ("a",), ("stand",), fixed=True),
)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "new folder é" / "settings.toml"


def read(path: Path) -> dict[str, object]:
    return tomllib.loads(path.read_text(encoding="utf-8"))


def test_the_first_write_makes_folder_and_file(path: Path) -> None:
    write_setting(path, "names", "German")
    assert read(path) == {"names": "german"}
    assert os.listdir(path.parent) == ["settings.toml"]


COMMENTED = """\
# my settings
names = "english" # as at school

# sound
volume = 0.25   # the neighbours
[practice] # short ones
prompts = 10
# the end
"""


@pytest.mark.parametrize(
    ("name", "text", "changed"),
    [
        ("names", "german", COMMENTED.replace('"english"', '"german"')),
        ("volume", "1", COMMENTED.replace("0.25", "1")),
        ("practice.prompts", "0", COMMENTED.replace("10", "0")),
        ("practice.prompts", "deck", COMMENTED.replace("10", '"deck"')),
        ("names", "english", COMMENTED),
    ],
)
def test_comments_and_layout_stay(path: Path, name: str, text: str, changed: str) -> None:
    path.parent.mkdir()
    path.write_text(COMMENTED, encoding="utf-8")
    write_setting(path, name, text)
    assert path.read_text(encoding="utf-8") == changed


def test_new_settings_join_the_old(path: Path) -> None:
    path.parent.mkdir()
    path.write_text(COMMENTED, encoding="utf-8")
    write_setting(path, "a4", "442")
    write_setting(path, "practice.kinds", "ear next")
    write_setting(path, "keys.stand.mute", "M ctrl+e", ACTIONS)
    assert read(path) == {
        "names": "english",
        "volume": 0.25,
        "a4": 442,
        "practice": {"prompts": 10, "kinds": ["ear", "next"]},
        "keys": {"stand.mute": ["M", "ctrl+e"]},
    }
    text = path.read_text(encoding="utf-8")
    for line in COMMENTED.splitlines():
        assert line in text


@pytest.mark.parametrize(
    "before",
    [
        'practice.prompts = 3\nnames = "dutch"\n',
        "practice = { prompts = 3 }\n",
        "[practice]\nprompts = 3",
        "[keys]\na.b = 'x'\n[practice]\nprompts = 3\n",
        "",
        "\n\n# nothing yet",
        "[keys.stand]\nmute = 'f7'\n",
        "keys.stand.mute = 'f7'\n",
    ],
)
def test_whatever_the_layout_only_the_one_value_changes(path: Path, before: str) -> None:
    path.parent.mkdir()
    path.write_text(before, encoding="utf-8")
    write_setting(path, "practice.minutes", "5")
    write_setting(path, "volume", "0.5")
    write_setting(path, "keys.stand.mute", "f8")
    expected = tomllib.loads(before)
    expected.setdefault("practice", {})["minutes"] = 5
    expected["volume"] = 0.5
    keys = expected.setdefault("keys", {})
    if "stand" in keys:
        keys["stand"]["mute"] = "f8"
    else:
        keys["stand.mute"] = "f8"
    assert read(path) == expected


@pytest.mark.parametrize("bom", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("end", [b"\n", b"\r\n"])
def test_byte_order_mark_and_line_ends_stay(path: Path, bom: bytes, end: bytes) -> None:
    path.parent.mkdir()
    path.write_bytes(bom + end.join([b'names = "dutch" # \xc3\xa9', b"", b"[practice]", b""]))
    write_setting(path, "names", "german")
    write_setting(path, "practice.prompts", "4")
    lines = [b'names = "german" # \xc3\xa9', b"", b"[practice]", b"prompts = 4", b""]
    assert path.read_bytes() == bom + end.join(lines)


# -- what was written is what is read


def plain_texts(own: Field) -> st.SearchStrategy[str]:
    match own.shape:
        case Shape.FLAG:
            return st.sampled_from(["on", "off", "true", "false", "Yes", "no", "1", "0"])
        case Shape.WORD:
            assert own.words is not None
            return st.sampled_from([word.value for word in own.words])
        case Shape.WORDS:
            kinds = st.lists(
                st.sampled_from([kind.value for kind in Kind]), min_size=1, unique=True
            )
            return kinds.map(", ".join)
        case Shape.WHOLE:
            return st.integers(own.low, own.high).map(str)
        case Shape.DECIMAL:
            return st.floats(own.low, own.high, allow_subnormal=False).map(
                lambda value: spelled(own, value)
            )
        case Shape.HORN:
            return st.sampled_from(["alto_sax", "Trumpet in Bb", "none", "bari sax"])
        case Shape.LINE:
            plain = st.characters(codec="utf-8").filter(lambda c: not is_harmful(c))
            return st.text(plain, max_size=own.high)


def texts(own: Field) -> st.SearchStrategy[str]:
    """Texts that the setting takes."""
    found = plain_texts(own)
    return found | st.just("deck") if own.optional else found


@st.composite
def changes(draw: st.DrawFn) -> list[tuple[Field, str]]:
    fields = draw(st.lists(st.sampled_from(FIELDS), min_size=1, max_size=5))
    return [(own, draw(texts(own))) for own in fields]


@given(changes(), st.sampled_from(["", COMMENTED, "practice = { again = true }\n"]))
@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])
def test_what_was_written_is_read(made: list[tuple[Field, str]], before: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        house = places({"DRILL_HOME": folder})
        house.settings.write_text(before, encoding="utf-8")
        for own, text in made:
            write_setting(house.settings, own.name, text)
        loaded = load(house, {})
        assert loaded.faults == ()
        for own, text in dict(made).items():
            by_flag = load(places({"DRILL_HOME": f"{folder}/none"}), {}, {own.name: text}).settings
            assert value_of(loaded.settings, own) == value_of(by_flag, own)
            assert loaded.origins[own.name].level is Layer.USER
        for own, _ in made:  # what is shown can be set again
            value = value_of(loaded.settings, own)
            write_setting(house.settings, own.name, spelled(own, value))
        assert load(house, {}).settings == loaded.settings


@given(
    st.lists(
        st.sampled_from(["m", "M", "#", ",", "f9", "ctrl+e", "esc", "é"]),
        min_size=1,
        max_size=5,
        unique=True,
    )
)
@settings(max_examples=30)
def test_keys_that_were_written_are_read(keys: list[str]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        house = places({"DRILL_HOME": folder})
        write_setting(house.settings, "keys.stand.mute", " ".join(keys), ACTIONS)
        loaded = load(house, {}, known=ACTIONS)
        assert loaded.faults == ()
        names = {"#": "number_sign", ",": "comma", "esc": "escape"}
        expected = tuple(names.get(key, key) for key in keys)
        assert loaded.settings.keys == (Remap("stand.mute", expected),)


# -- refusals


@pytest.mark.parametrize(
    ("name", "text", "message"),
    [
        ("names", "klingon", r'names: expected "english", .*, found "klingon"'),
        ("volume", "2", r"volume: expected a volume, 0 to 1, found 2 \(2 percent is 0.02\)"),
        ("volume", "loud", r'volume: expected a volume, 0 to 1, found "loud"'),
        ("a4", "440 Hz", r'a4: expected hertz, 430 to 450, found "440 Hz"'),
        ("sound", "maybe", r'sound: expected true or false, found "maybe"'),
        ("practice.kinds", "", r"nothing is allowed: the list is empty"),
        ("practice.prompts", "dec", r"or deck, found \"dec\" \(did you mean deck\?\)"),
        ("student", "a\x1b[2J", r"student: expected plain text, found the control character"),
        ("volum", "1", r'there is no setting "volum" \(did you mean volume\?\)'),
        ("", "1", r'there is no setting "" \(drill config show lists them\)'),
        ("practice", "1", r'there is no setting "practice"'),
        ("keys.stand.mut", "m", r'no action "stand.mut" \(did you mean stand.mute'),
        ("keys.stand.mute", "", r"stand.mute: expected 1 to 8 keys, found 0"),
        ("keys.stand.mute", "m xx", r'stand.mute: "xx" is not a key'),
        ("keys.stand.mute", "f3", r"the key f3 belongs to stand.hear \(give stand.hear another"),
        ("keys.stand.mute", "a", r"the key a belongs to stand.type \(take another key\)"),
        ("keys.stand.type", "m", r"the keys of stand.type cannot be changed"),
    ],
)
def test_a_bad_value_is_refused_with_one_message_and_nothing_is_written(
    path: Path, name: str, text: str, message: str
) -> None:
    with pytest.raises(UsageError, match=message) as refused:
        write_setting(path, name, text, ACTIONS)
    assert "\n" not in str(refused.value)
    assert "\x1b" not in str(refused.value)
    assert refused.value.exit_code is ExitCode.USAGE
    assert not path.parent.exists()


def test_keys_may_change_places_in_two_steps(path: Path) -> None:
    write_setting(path, "keys.stand.mute", "f9", ACTIONS)
    write_setting(path, "keys.stand.hear", "f2", ACTIONS)
    write_setting(path, "keys.stand.mute", "f3", ACTIONS)
    assert read(path) == {"keys": {"stand.mute": "f3", "stand.hear": "f2"}}


def test_a_wish_in_the_file_is_not_pushed_out(path: Path) -> None:
    write_setting(path, "keys.stand.mute", "f8", ACTIONS)
    write_setting(path, "keys.stand.hear", "f9", ACTIONS)
    old = path.read_bytes()
    with pytest.raises(UsageError, match="^stand.hear: the key f9 belongs to stand.mute"):
        write_setting(path, "keys.stand.mute", "f9", ACTIONS)
    assert path.read_bytes() == old


@pytest.mark.parametrize("before", ["keys = 3\n", 'keys = "stand.mute"\n', "keys = [1]\n"])
def test_keys_that_are_no_table_must_be_mended_first(path: Path, before: str) -> None:
    path.parent.mkdir()
    path.write_text(before, encoding="utf-8")
    for known in (ACTIONS, None):
        with pytest.raises(DrillError, match="keys: expected a table, found"):
            write_setting(path, "keys.stand.mute", "f9", known)
    assert path.read_text(encoding="utf-8") == before


def test_an_old_clash_in_the_file_is_no_bar(path: Path) -> None:
    path.parent.mkdir()
    path.write_text('[keys]\nstand.hear = "a"\n', encoding="utf-8")
    write_setting(path, "keys.stand.mute", "f9", ACTIONS)
    assert read(path) == {"keys": {"stand": {"hear": "a"}, "stand.mute": "f9"}}


@pytest.mark.parametrize(
    ("data", "error", "message"),
    [
        (b"names = [\n", FaultsError, "1:9: the list that begins here is never closed"),
        (b"\xff\xfe\x00", FaultsError, "this is UTF-16 text"),
        (b"practice = 3\n", DrillError, "practice: expected a table, found a whole number"),
        (b"[[practice]]\n", DrillError, "practice: expected a table, found a list"),
    ],
)
def test_a_file_that_must_be_mended_first_is_not_touched(
    path: Path, data: bytes, error: type[DrillError], message: str
) -> None:
    path.parent.mkdir()
    path.write_bytes(data)
    with pytest.raises(error, match=message.replace("[", r"\[")):
        write_setting(path, "practice.prompts", "3")
    assert path.read_bytes() == data
    assert os.listdir(path.parent) == [path.name]


def test_a_file_does_not_grow_beyond_what_is_read(path: Path) -> None:
    path.parent.mkdir()
    data = b"#" * (16 * 1024 - 5) + b"\n"
    path.write_bytes(data)
    with pytest.raises(DrillError, match="would be too large to read"):
        write_setting(path, "names", "german")
    assert path.read_bytes() == data


@pytest.mark.parametrize("wrong", ["", 'names = "german"\n', "names = [\n"])
def test_a_change_that_would_hurt_the_rest_is_not_made(
    path: Path, wrong: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Should the editor of TOML ever lose something, the file is left alone."""
    import tomlkit

    path.parent.mkdir()
    path.write_text(COMMENTED, encoding="utf-8")
    monkeypatch.setattr(tomlkit, "dumps", lambda _: wrong)
    with pytest.raises(DrillError, match="set names by hand: the layout is unusual"):
        write_setting(path, "names", "german")
    assert path.read_text(encoding="utf-8") == COMMENTED


# -- whole at every instant


def failing(name: str) -> Callable[..., object]:
    def fail(*_: object, **__: object) -> object:
        raise OSError(errno.ENOSPC, "No space left on device", name)

    return fail


@pytest.mark.parametrize("step", ["os.fsync", "os.replace", "os.chmod", "tempfile.mkstemp"])
def test_a_failure_midway_leaves_the_old_file(
    path: Path, step: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_setting(path, "names", "dutch")
    old = path.read_bytes()
    monkeypatch.setattr(step, failing(step))
    with pytest.raises(DrillError, match=r"cannot be written: no space left on device; nothing"):
        write_setting(path, "names", "german")
    assert path.read_bytes() == old
    assert os.listdir(path.parent) == [path.name]  # no torn copy beside it


def test_the_old_file_is_there_until_the_new_one_is_whole(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_setting(path, "names", "dutch")
    seen: list[tuple[dict[str, object], dict[str, object]]] = []
    replace = os.replace

    def watched(source: str, target: Path) -> None:
        seen.append((read(Path(source)), read(target)))
        replace(source, target)

    monkeypatch.setattr(os, "replace", watched)
    write_setting(path, "names", "german")
    assert seen == [({"names": "german"}, {"names": "dutch"})]
    assert read(path) == {"names": "german"}


def test_a_link_stays_a_link_and_permissions_stay(path: Path, tmp_path: Path) -> None:
    real = tmp_path / "dotfiles" / "drill.toml"
    real.parent.mkdir()
    real.write_text("# mine\n", encoding="utf-8")
    real.chmod(0o640)
    path.parent.mkdir()
    path.symlink_to(real)
    write_setting(path, "names", "german")
    assert path.is_symlink()
    assert read(real) == {"names": "german"}
    assert real.stat().st_mode & 0o777 == 0o640


CHANGE = """
import os, sys
from pathlib import Path
from drill.errors import DrillError
from drill.places import places
from drill.settings.load import load
import drill.settings.write as write
import tomlkit, tomlkit.exceptions
if os.getuid() == 0:
    os.setuid(65534)  # root may write anywhere
house = places({"DRILL_HOME": sys.argv[1]})
try:
    write.write_setting(house.settings, "names", "german")
except DrillError as error:
    print(error)
print(load(house, {}).settings.names)
"""


@pytest.fixture
def locked() -> Iterator[Path]:
    """A folder that can be read and not written."""
    with tempfile.TemporaryDirectory() as folder:
        os.chmod(folder, 0o555)
        yield Path(folder)
        os.chmod(folder, 0o755)


@pytest.mark.skipif(os.name != "posix", reason="permissions of POSIX")
@pytest.mark.parametrize("there", [True, False])
def test_a_folder_that_cannot_be_written(
    locked: Path, printed_by: Callable[..., str], there: bool
) -> None:
    home = locked / "home"
    os.chmod(locked, 0o755)
    if there:
        home.mkdir()
        (home / "settings.toml").write_text('names = "dutch"\n', encoding="utf-8")
        os.chmod(home / "settings.toml", 0o444)
        os.chmod(home, 0o555)
    os.chmod(locked, 0o555)
    told = printed_by(CHANGE, home)
    os.chmod(locked, 0o755)
    if there:
        os.chmod(home, 0o755)
    reason = "cannot be written: it is read-only" if there else "cannot be made: permission denied"
    said = f"{home / 'settings.toml' if there else home}: {reason}; nothing was changed\n"
    assert told == said + ("dutch\n" if there else "english\n")


def test_every_setting_can_be_written() -> None:
    assert len(BY_NAME) == len(FIELDS)
