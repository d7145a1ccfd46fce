"""Own cards: made from a certificate, shown, checked, compared, and withheld from what leaves."""

import hashlib
import json
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from linewright.base.errors import CardError, InputError
from linewright.base.findings import CATALOGUE
from linewright.cards import loader
from linewright.services import cards, withheld
from linewright.services.answer import answer_lines
from linewright.services.assess import assess_study, text_of
from linewright.services.explain import explain_lines
from linewright.services.overruled import overruled
from linewright.services.own_card import Certificate, new_card, read_values
from linewright.services.study import open_study

CASE = """
format = 1
title = "One berth"
note = "quoted at 1383.7 kN"
[ship]
design_break_load = "1350 kN"
[spread]
samples = 256
[[line]]
name = "springs"
rope = "ours"
inboard_length = "10 m"
outboard_length = "35 m"
[[line.contact]]
card = "closed-chock"
bend_radius = "200 mm"
wrap = "50 deg"
[[berth]]
name = "Jetty"
climate = "swell-coast-monthly"
calls_per_year = 25
hours_per_call = "36 h"
[[berth.state]]
name = "shares"
share = "60 %"
tension.springs = { mean = "21 %LDBF", amplitude = "6.5 %LDBF", amplitude_kind = "significant", period = "13 s" }
[[berth.state]]
name = "kilonewtons"
share = "40 %"
tension.springs = { mean = "300 kN", amplitude = "0 kN" }
[[compare]]
rope = "hmpe-low-creep-12-strand"
same = "load"
"""
VALUES = ("ldbf=1383.7 kN", "diameter=44.31 mm", "mass=0.9873 kg/m", "tcll=61.7 %",
          "angled-endurance=2357; 50 %LDBF over 90 deg")  # fmt: skip
DIGITS = ("1383", "1384", "44.31", "44 mm", "0.987", "61.7", "0.617", "2357")
DIGEST = re.compile(r"\b(?=\d*[a-f])(?:[0-9a-f]{64}|[0-9a-f]{12})\b")  # that of a sealed card is random
BASE = "hmpe-standard-12-strand"


def certificate(confidential: bool = False, *values: str) -> Certificate:
    return Certificate(values or VALUES, "Certificate 0815.pdf", "3", confidential)


@pytest.fixture
def study(tmp_path: Path) -> Path:
    (tmp_path / "case.toml").write_text(CASE, "utf-8")
    return tmp_path


@pytest.fixture(scope="module")
def secret(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """A full result of a study whose rope on board has a confidential certificate."""
    folder = tmp_path_factory.mktemp("secret")
    (folder / "case.toml").write_text(CASE, "utf-8")
    new_card(folder, "ours", BASE, certificate(True))
    return assess_study(folder)


def numbers(value: Any) -> Iterator[float]:
    if isinstance(value, dict | list):
        for part in value.values() if isinstance(value, dict) else value:
            yield from numbers(part)
    elif isinstance(value, float):
        yield value


# --- a card of one's own -----------------------------------------------------------------------


def test_new_when_made_carries_the_certificate_and_the_rest_of_its_base(study: Path) -> None:
    said = new_card(study, "ours", BASE, certificate())

    rope, base = loader.load_shelf(study / "cards").rope("ours"), loader.load_shelf().rope(BASE)
    force = rope.data["design_break_force"]
    assert (force.value, force.basis, force.source, force.where) == (1383.7e3, "measured", "certificate-0815", "page 3")
    assert rope.data["angled_endurance_cycles"].where == "page 3; 50 %LDBF over 90 deg"
    assert rope.data["thousand_cycle_load_level"].value == pytest.approx(0.617)
    assert rope.data["bend_strength"].curve == base.data["bend_strength"].curve
    assert rope.origin == "own"
    assert said[-3:] == ['rope = "ours"', "[[compare]]", 'rope = "ours"']


def test_new_when_made_names_the_file_without_its_folder_and_its_digest(study: Path) -> None:
    paper = study / "Paper 7.pdf"
    paper.write_bytes(b"%PDF")

    new_card(study, "ours", BASE, Certificate(("ldbf=1300 kN",), str(paper)))

    sources = tomllib.loads((study / "cards" / "sources.toml").read_text("utf-8"))
    assert sources["paper-7"]["title"] == "Paper 7.pdf"
    assert sources["paper-7"]["sha256"] == hashlib.sha256(b"%PDF").hexdigest()
    assert str(study) not in "".join(path.read_text("utf-8") for path in (study / "cards").rglob("*.toml"))


def test_new_when_the_certificate_is_not_there_says_so_and_marks_it_as_not_read(study: Path) -> None:
    said = new_card(study, "ours", BASE, Certificate(("mbl=1300 kN",), str(study / "cert.pdf")))

    assert "cert.pdf not found: no digest; the source is marked as not read." in said
    source = loader.load_shelf(study / "cards").sources["cert"]
    assert (source.seen, source.sha256, bool(source.mark)) == ("memory", "", True)

    (study / "cert.pdf").write_bytes(b"%PDF")
    found = new_card(study, "twin", BASE, Certificate(("mbl=1300 kN",), str(study / "cert.pdf")))
    assert "not found" not in " ".join(found)
    assert loader.load_shelf(study / "cards").sources["cert-2"].seen == "full"


def test_new_when_a_value_replaces_a_band_says_that_it_is_taken_as_exact(study: Path) -> None:
    def exact(name: str, *values: str) -> list[str]:
        said = new_card(study, name, BASE, Certificate(values, "a.pdf"))
        return [row.partition(": no band given: taken as exact")[0] for row in said if "taken as exact" in row]

    assert exact("one", "ldbf=1300 kN", "tcll=60 %", "bending-loss=0.1") == ["bending_loss"]
    assert exact("two", "tcll=60 %") == []
    assert exact("three") == []


@pytest.mark.parametrize(
    ("typed", "key"), [("MBL=1300 kN", "design_break_force"), ("weight=1 kg/m", "mass_per_length")]
)
def test_value_when_named_as_certificates_do_is_the_cards_own(typed: str, key: str) -> None:
    assert list(read_values(Certificate((typed,)))) == [key]


@pytest.mark.parametrize(("typed", "near"), [("diametre=44 mm", "diameter"), ("densty=970 kg/m3", "density")])
def test_value_when_misspelt_names_the_nearest(typed: str, near: str) -> None:
    with pytest.raises(InputError) as caught:
        read_values(Certificate((typed,)))

    assert f"did you mean {near}?" in caught.value.render()


def test_new_when_the_diameter_alone_is_given_scales_force_and_mass_as_derived(study: Path) -> None:
    new_card(study, "ours", BASE, certificate(True, "diameter=84 mm"))

    data = loader.load_shelf(study / "cards").ropes["ours"].data
    for key, value in (("design_break_force", 4 * 1230e3), ("mass_per_length", 4 * 0.92)):
        assert data[key].value == pytest.approx(value)
        assert (data[key].basis, data[key].confidential) == ("derived", True)


def test_new_when_sources_are_there_keeps_them_with_their_comments(study: Path) -> None:
    (study / "cards").mkdir()
    kept = '# ours\n[lab]\ntitle = "Lab"  # mine\nseen = "own work"\n'
    (study / "cards" / "sources.toml").write_text(kept, "utf-8")

    new_card(study, "ours", BASE, certificate())
    new_card(study, "twin", BASE, certificate())

    text = (study / "cards" / "sources.toml").read_text("utf-8")
    assert text.startswith(kept)
    assert text.count("[certificate-0815]") == 1


def test_new_when_another_table_has_the_name_of_its_table_keeps_both(study: Path) -> None:
    folder = study / "cards" / "ropes"
    folder.mkdir(parents=True)
    (folder / "braid-over-pin.csv").write_text("mine", "utf-8")

    new_card(study, "ours", BASE, certificate())

    assert (folder / "braid-over-pin.csv").read_text("utf-8") == "mine"
    assert loader.load_shelf(study / "cards").ropes["ours"].data["bend_strength"].curve is not None


WRONG = {
    "unit": (certificate(False, "ldbf=1380 t"), "write tf"),
    "unknown key": (certificate(False, "strength=1380 kN"), "a key of this kind of card"),
    "twice": (certificate(False, "ldbf=1380 kN", "design_break_force=1 MN"), "given twice"),
    "implausible": (certificate(False, "diameter=44 m"), "a plausible value"),
    "curve": (certificate(False, "bend_strength=0.9"), "a curve"),
    "no value": (certificate(False, "ldbf"), "a number followed by its unit"),
    "no source": (Certificate(("ldbf=1380 kN",)), "--source"),
}


@pytest.mark.parametrize("name", WRONG)
def test_new_when_a_value_is_wrong_is_refused_and_writes_nothing(study: Path, name: str) -> None:
    given, words = WRONG[name]

    with pytest.raises(InputError) as caught:
        new_card(study, "ours", BASE, given)

    assert words in caught.value.render()
    assert not (study / "cards").exists()


@pytest.mark.parametrize(("name", "base", "words"), [
    ("../ours", BASE, "small letters"), ("ours", "hmpe-standard-12-strnd", f"did you mean {BASE}"),
    ("ours", "swell-coast-monthly", "a climate card"),
])  # fmt: skip
def test_new_when_a_name_is_wrong_is_refused(study: Path, name: str, base: str, words: str) -> None:
    with pytest.raises(InputError) as caught:
        new_card(study, name, base, certificate())

    assert words in caught.value.render()
    assert not (study / "cards").exists()


def test_new_when_the_card_is_there_is_refused_and_leaves_it(study: Path) -> None:
    new_card(study, "ours", BASE, certificate())
    before = (study / "cards" / "ropes" / "ours.toml").read_bytes()

    with pytest.raises(InputError, match="not written"):
        new_card(study, "ours", BASE, certificate(True))

    assert (study / "cards" / "ropes" / "ours.toml").read_bytes() == before


def test_values_when_read_for_a_contact_take_its_keys() -> None:
    given = read_values(Certificate(("bend-radius=210 mm",)), "contact")

    assert given["bend_radius"].value == pytest.approx(0.21)


# --- on the screen -----------------------------------------------------------------------------


def test_list_when_a_study_has_cards_says_whose_and_what_they_hide(study: Path) -> None:
    new_card(study, "ours", BASE, certificate(True))
    new_card(study, "polyester-8-strand", "polyester-8-strand", Certificate())

    lines = {line.split()[1]: line for line in cards.list_lines(cards.shelf_of(study))}

    assert "own, confidential" in lines["ours"]
    assert "own, in the place of the shipped one" in lines["polyester-8-strand"]
    assert "shipped  " in lines[BASE]


def test_weakest_when_listed_is_the_weakest_basis() -> None:
    rows = {row["name"]: row for row in cards.listed(cards.shelf_of(None))}

    assert rows[BASE]["weakest"] == "estimate"
    assert rows["hot-typical-year"]["weakest"] == "measured"


def test_show_when_own_says_layer_source_and_what_is_confidential(study: Path) -> None:
    new_card(study, "ours", BASE, certificate(True))

    lines = cards.show_lines(cards.shelf_of(study), "ours")

    row = next(line for line in lines if line.startswith("design_break_force"))
    assert re.split(r"  +", row) == ["design_break_force", "1383.7 kN", "measured, confidential", "ours",
                                     "certificate-0815*", "page 3"]  # fmt: skip
    below = next(line for line in lines if line.startswith("density"))
    assert re.split(r"  +", below)[4:6] == ["hmpe-standard", "uhmwpe-overview*"]
    assert any(line.split()[:4] == ["at", "D/d", "8", "0.93"] for line in lines)
    assert any("abstract only" in line for line in lines if line.startswith("uhmwpe-overview*"))


def test_show_when_a_climate_lists_its_months() -> None:
    lines = cards.show_lines(cards.shelf_of(None), "swell-coast-monthly")

    assert [line.split()[0] for line in lines if re.match(r"\d+ ", line)] == [str(n) for n in range(1, 13)]


def test_diff_when_two_ropes_differ_in_one_datum_shows_that_one(study: Path) -> None:
    new_card(study, "ours", BASE, certificate(False, "ldbf=1383.7 kN"))

    lines = cards.diff_lines(cards.shelf_of(study), BASE, "ours")

    assert [re.split(r"  +", line) for line in lines[1:]] == [
        ["design_break_force", "1230 kN", "estimate", "1383.7 kN", "measured"]
    ]


def test_diff_when_fibres_differ_shows_data_that_one_lacks_and_curve_points() -> None:
    lines = cards.diff_lines(cards.shelf_of(None), BASE, "polyester-8-strand")

    starts = [line.split()[0] for line in lines]
    assert "fibre" in starts
    assert any(line.startswith("creep_rate_constant") and "not given" in line for line in lines)
    assert any(line.startswith("  at 60 degC") for line in lines)
    assert "uv_cover" not in starts


def test_diff_when_the_same_or_of_two_kinds_says_so() -> None:
    shelf = cards.shelf_of(None)

    assert cards.diff_lines(shelf, BASE, BASE) == [f"{BASE} and {BASE} say the same."]
    with pytest.raises(InputError, match="different kinds"):
        cards.diff_lines(shelf, BASE, "roller")
    with pytest.raises(InputError, match="climate"):
        cards.diff_lines(shelf, BASE, "swell-coast-monthly")


def test_check_when_a_file_is_wrong_lists_all_with_lines(study: Path) -> None:
    new_card(study, "ours", BASE, certificate())
    path = study / "cards" / "ropes" / "ours.toml"
    text = path.read_text("utf-8")
    path.write_text(text.replace('"44.31 mm"', '"44.31"').replace('"1383.7 kN"', '"1383.7 t"'), "utf-8")

    with pytest.raises(CardError) as caught:
        cards.check_lines(path)

    places = [problem.where for problem in caught.value.problems]
    lines = text.splitlines()
    assert places == [
        f"ours.toml:{number}  {key}"
        for key in ("diameter", "design_break_force")
        for number, line in enumerate(lines, 1)
        if line.startswith(key)
    ]


def test_check_when_form_and_values_are_wrong_lists_both_in_the_order_of_the_file(study: Path) -> None:
    new_card(study, "ours", BASE, certificate())
    path = study / "cards" / "ropes" / "ours.toml"
    text = path.read_text("utf-8").replace('"44.31 mm"', '"44.31"').replace("uv_cover", "uv_covr")
    path.write_text(text.replace('value = "0.9873 kg/m", basis = "measured", ', 'value = "0.9873 kg/m", '), "utf-8")

    with pytest.raises(CardError) as caught:
        cards.check_lines(path)

    assert [problem.where.split()[-1] for problem in caught.value.problems] == ["diameter", "basis", "uv_covr"]


def test_check_when_the_fibre_or_kind_is_unknown_names_the_line(study: Path) -> None:
    new_card(study, "ours", BASE, certificate())
    path = study / "cards" / "ropes" / "ours.toml"
    text = path.read_text("utf-8")
    line = text.splitlines().index('fibre = "hmpe-standard"') + 1

    path.write_text(text.replace('"hmpe-standard"', '"hmpe-standrd"'), "utf-8")
    for target in (path, study):
        with pytest.raises(CardError) as caught:
            cards.check_lines(target)
        assert f"ours.toml:{line}  fibre" in caught.value.render()
        assert "did you mean hmpe-standard?" in caught.value.render()
    path.write_text(text.replace('"rope"', '"roap"'), "utf-8")
    with pytest.raises(CardError, match=r"ours\.toml:5  kind"):
        cards.check_lines(path)


def test_check_when_all_is_right_counts_and_names_shadows(study: Path) -> None:
    new_card(study, "roller", "roller", Certificate())

    lines = cards.check_lines(study)

    assert lines[0].startswith("1 own card under ")
    assert lines[1:] == ["contact roller takes the place of the shipped card."]


def test_check_when_a_card_lies_where_none_is_read_says_so(study: Path) -> None:
    (study / "cards").mkdir()
    (study / "cards" / "lost.toml").write_text("format = 1\n", "utf-8")

    with pytest.raises(CardError, match=r"lost\.toml"):
        cards.check_lines(study)


# --- what leaves -------------------------------------------------------------------------------


def test_own_result_when_confidential_data_are_used_holds_them_in_full(secret: Any) -> None:
    row = next(row for row in secret["used"] if row["key"] == "design_break_force" and row["owner"] == "ours")

    assert (row["value"], row["confidential"], row["origin"]) == (1383.7, True, "own")
    assert secret["ropes"][0]["diameter"] == pytest.approx(0.04431)
    assert secret["ropes"][1]["confidential"] == []
    assert "confidential and used in full here" in "\n".join(answer_lines(secret))


def test_explain_when_confidential_data_are_used_says_so(secret: Any) -> None:
    assert "confidential data and in full" in explain_lines(secret)[-1]


@pytest.mark.parametrize("form", ["json", "text"])
def test_client_copy_when_read_letter_by_letter_holds_no_confidential_digits(secret: Any, form: str) -> None:
    def written(result: Any) -> str:
        return text_of(result) if form == "json" else "\n".join(answer_lines(result))

    full, copy = written(secret), written(withheld.for_client(secret))

    assert [digits for digits in DIGITS if digits in DIGEST.sub("", copy)] == []
    assert [digits for digits in ("1383", "44 mm") if digits in full], "the full form shows what the copy must not"
    assert withheld.WITHHELD in copy


def test_client_copy_when_a_compared_rope_is_overloaded_names_no_tension_of_the_confidential_one(study: Path) -> None:
    """60 %LDBF of 937.31 kN is 562 kN: the refusal of the other rope would tell the strength."""
    new_card(study, "ours", BASE, Certificate(("ldbf=937.31 kN",), "Certificate 0815.pdf", "3", True))
    case = study / "case.toml"
    text = CASE.replace('mean = "300 kN"', 'mean = "60 %LDBF"').replace("1350 kN", "900 kN")
    case.write_text(text + 'design_break_force = "500 kN"\n', "utf-8")

    full = assess_study(study, keep=False)
    copy = text_of(withheld.for_client(full)) + "\n".join(answer_lines(withheld.for_client(full)))

    assert "562 kN" in full["ropes"][1]["not_comparable"]
    assert not re.search(r"(?<![0-9a-f])562(?![0-9a-f])", copy)  # digests are random texts
    assert "500 kN" not in copy


@pytest.mark.parametrize("said", [("cert\n.pdf", "3"), ("cert.pdf", "3.\n# x"), ("cert\u202e.pdf", "3"), (".", "3")])
def test_new_card_when_its_words_break_the_line_is_refused(study: Path, said: tuple[str, str]) -> None:
    with pytest.raises(InputError, match="was not written"):
        new_card(study, "ours", BASE, Certificate(("ldbf=937.31 kN",), *said))
    assert not (study / "cards").exists()


def telling(result: Any) -> set[str]:
    """Which withheld data a figure of the ropes is, alone or with a figure of the case."""
    known = {"force": 1383.7e3, "diameter": 0.04431, "mass": 0.9873}
    typed = (1.0, 0.21, 0.065, 1350e3, 300e3)
    found = set()
    for rope in result["ropes"]:
        for number in numbers(rope):
            told = [value for share in typed if number for value in (number / share, number * share)]
            found |= {what for what, value in known.items() for one in told if abs(one / value - 1.0) < 1e-4}
    return found


def test_client_copy_when_figures_are_combined_gives_no_strength_size_or_mass(secret: Any) -> None:
    assert telling(withheld.for_client(secret)) == set()
    assert {"force", "diameter"} <= telling(secret), "the full result must tell what the copy must not"


def test_client_copy_when_tension_was_typed_in_kilonewtons_withholds_the_margin_only_there(secret: Any) -> None:
    board, other = withheld.for_client(secret)["ropes"]
    shares, newtons = board["states"]

    assert isinstance(shares["margin"], float)
    assert withheld.is_withheld(newtons["margin"])
    assert all(withheld.is_withheld(state["margin"]) for state in other["states"])
    for state in (*board["states"], *other["states"]):
        assert withheld.is_withheld(state["highest_tension"])
        assert withheld.is_withheld(state["mean_tension"])
        assert withheld.is_withheld(state["rise_by_source"])
        assert all(withheld.is_withheld(value) for value in state["damage_per_year"].values())
    assert isinstance(board["life"]["p50"], float)


def test_client_copy_when_a_datum_is_withheld_keeps_key_basis_title_and_digest(secret: Any) -> None:
    rows = [row for row in withheld.for_client(secret)["used"] if row["confidential"]]

    assert {row["key"] for row in rows} == {"design_break_force", "diameter", "mass_per_length",
                                            "thousand_cycle_load_level", "angled_endurance_cycles"}  # fmt: skip
    for row in rows:
        assert (row["value"], row["low"], row["high"], row["unit"], row["where"]) == (
            withheld.WITHHELD,
            None,
            None,
            "",
            "",
        )
        assert (row["basis"], row["source_title"]) == ("measured", "Certificate 0815.pdf")
        assert re.fullmatch("[0-9a-f]{12}", row["digest"])


def test_client_copy_when_made_leaves_the_result_and_its_folder_alone(secret: Any) -> None:
    before = json.dumps(secret)

    copy = withheld.for_client(secret)

    assert json.dumps(secret) == before
    assert "kept" in secret
    assert not {"study", "kept"} & copy.keys()
    assert "cards" not in copy["stamp"]


def test_client_copy_when_nothing_is_confidential_keeps_every_figure(study: Path) -> None:
    new_card(study, "ours", BASE, certificate())
    result = assess_study(study, keep=False)

    copy = withheld.for_client(result)

    assert copy.pop("made_for") == "client"
    assert copy == result


def test_card_digest_when_confidential_differs_between_equal_cards(study: Path) -> None:
    new_card(study, "one", BASE, certificate(True))
    new_card(study, "two", BASE, certificate(True))
    texts = [(study / "cards" / "ropes" / f"{name}.toml").read_text("utf-8") for name in ("one", "two")]
    seals = [tomllib.loads(text)["seal"] for text in texts]

    assert seals[0] != seals[1]
    assert all(len(seal) == 32 for seal in seals)


def test_digest_when_a_confidential_card_is_not_sealed_is_left_out(study: Path) -> None:
    new_card(study, "ours", BASE, certificate(True))
    path = study / "cards" / "ropes" / "ours.toml"
    path.write_text(re.sub(r"seal = .*", "", path.read_text("utf-8")), "utf-8")

    used = assess_study(study, keep=False)["used"]

    assert {row["digest"] for row in used if row["confidential"]} == {""}


def test_samples_when_made_for_a_client_lose_scores_and_exact_figures(secret: Any) -> None:
    import numpy as np

    with np.load(Path(secret["kept"]) / "samples.npz") as stored:
        full = {name: stored[name] for name in stored.files}

    copy = withheld.samples_for_client(full, secret)

    assert set(copy) == {"weights", "rope0_age", "rope1_age"}
    assert not np.array_equal(copy["rope0_age"], full["rope0_age"])
    assert any(name.startswith("score ") for name in full)


def test_finding_codes_when_new_are_known_to_the_withholding() -> None:
    assert set(withheld.NAMED) == set(CATALOGUE)


def test_finding_when_its_code_is_not_listed_loses_its_figures() -> None:
    row = {"code": "ldbf-window", "severity": "caution", "text": "break force 1384 kN is 103 %SDMBL", "about": ""}

    assert withheld._finding(row, frozenset({"diameter"})) == row
    assert "1384" not in withheld._finding(row, frozenset({"design_break_force"}))["text"]


def test_shadowing_card_when_used_is_noted_in_the_result(study: Path) -> None:
    new_card(study, "ours", BASE, certificate())
    new_card(study, "closed-chock", "closed-chock", Certificate())
    new_card(study, "roller", "roller", Certificate())

    findings = assess_study(study, keep=False)["findings"]

    notes = [row for row in findings if row["code"] == "card-shadows-shipped"]
    assert [row["about"] for row in notes] == ["closed-chock"]


OVER = 'rope = "ours"\ndiameter = "42 mm"\ndesign_break_force = "1383.7 kN"\n'


def overruling(study: Path) -> list[dict[str, Any]]:
    """The cautions of a study on a case that wins over its cards."""
    text = CASE.replace('rope = "ours"\n', OVER)
    (study / "case.toml").write_text(text, "utf-8")
    return [row for row in assess_study(study, keep=False)["findings"] if row["code"] == "case-over-card"]


def test_case_when_it_wins_over_a_certificate_names_both_values_with_their_units(study: Path) -> None:
    new_card(study, "ours", BASE, certificate())

    (found,) = overruling(study)

    assert found["severity"] == "caution"
    assert found["text"] == "the case wins over the card ours: diameter 42 mm, not 44.31 mm (measured)"
    assert found["about"] == "springs, HMPE, standard grade, 12-strand, ours, 42 mm"


def test_case_when_it_wins_over_an_estimate_or_says_the_same_is_not_doubted(study: Path) -> None:
    new_card(study, "ours", BASE, Certificate(("ldbf=1383.7 kN",), "certificate.pdf"))

    assert overruling(study) == []


def test_case_when_it_wins_over_contact_compared_rope_and_practice_says_so_for_each(study: Path) -> None:
    new_card(study, "ours", BASE, certificate())
    new_card(study, "chock", "closed-chock", Certificate(("bend-radius=210 mm",), "drawing.pdf"))
    new_card(study, "tended", "moored-line-one-mark", Certificate(("payout-spread=0.4 m",), "log.pdf"))
    text = CASE.replace("closed-chock", "chock").replace('rope = "ours"\n', 'rope = "ours"\npractice = "tended"\n')
    text = text.replace('share = "60 %"\n', 'share = "60 %"\npayout_spread = "0.5 m"\n')
    (study / "case.toml").write_text(text + '[[compare]]\nrope = "ours"\ndiameter = "4.2 cm"\n', "utf-8")

    found = [item.finding for item in overruled(*open_study(study).read())]

    assert [row.text.partition("card ")[2] for row in found] == [
        "chock: bend_radius 200 mm, not 210 mm (measured)",
        "ours: diameter 4.2 cm, not 44.31 mm (measured)",
        "tended: payout_spread 0.5 m, not 0.4 m (measured)",
    ]


def test_client_copy_when_the_case_wins_over_a_confidential_datum_does_not_tell_it(study: Path) -> None:
    new_card(study, "ours", BASE, certificate(True))
    (study / "case.toml").write_text(CASE.replace('rope = "ours"\n', OVER), "utf-8")

    text = text_of(withheld.for_client(assess_study(study, keep=False)))

    assert "case-over-card" in text
    assert "44.31" not in text
