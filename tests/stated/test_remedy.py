"""The column that a spec file may have: what is allowed where a row is outside."""

import pytest

from restonb.errors import BuildError
from restonb.stated import Build

HEAD = "sheet,characteristic,what,positions,nominal,lower,upper,wear_limit,unit,instrument,safety,source"
ROW = 'pivots,play,"play of the arm",once,,,0.5,,mm,,,"notes, p. 61"'


def build_of(folder, header, row):
    build = Build.create(folder / "build", "Toy")
    (build.folder / "specs" / "brakes.csv").write_text(f"{header}\n{row}\n")
    return Build.open(build.folder)


def test_it_may_be_left_out(tmp_path):
    assert build_of(tmp_path, HEAD, ROW).specs.get("pivots", "play").remedy == ""


def test_it_is_kept_in_its_own_words(tmp_path):
    assert build_of(tmp_path, f"{HEAD},remedy", f'{ROW},"new bushes, reamed"').specs.get("pivots", "play").remedy == (
        "new bushes, reamed"
    )


def test_an_empty_one_changes_nothing_of_what_was_filed_before(tmp_path):
    """A run keeps the digest of its rows: a new empty column must not make it out of date, a remedy must."""
    (tmp_path / "a").mkdir(), (tmp_path / "b").mkdir(), (tmp_path / "c").mkdir()
    without = build_of(tmp_path / "a", HEAD, ROW).specs
    empty = build_of(tmp_path / "b", f"{HEAD},remedy", f"{ROW},").specs
    stated = build_of(tmp_path / "c", f"{HEAD},remedy", f"{ROW},new bushes").specs
    digests = [book.digest(book.get("pivots", "play")) for book in (without, empty, stated)]
    assert digests[0] == digests[1] != digests[2]


def test_a_misspelt_one_is_named(tmp_path):
    with pytest.raises(BuildError, match="write 'remedy'"):
        _ = build_of(tmp_path, f"{HEAD},remedie", f"{ROW},new").specs
