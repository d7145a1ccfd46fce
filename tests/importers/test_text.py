"""Bytes that are no UTF-8: Western text is read and said, other text asks for its encoding."""

import pytest

from linewright.base.errors import InputError
from linewright.importers.weather import read_year

RUSSIAN = "Дата (UTC);Температура воздуха (degC);Влажность (%);Скорость ветра (м/с)\n"
JAPANESE = "日時 (UTC);気温(degC);相対湿度(%);平均風速(m/s)\n"
ROWS = "2025-07-15 00:00;20;80;5\n2025-07-15 01:00;21;81;6\n"


@pytest.mark.parametrize(
    ("text", "encoding"), [(RUSSIAN, "cp1251"), (RUSSIAN, "koi8-r"), (JAPANESE, "shift_jis"), (JAPANESE, "euc_jp")]
)
def test_text_when_western_letters_make_no_words_asks_for_the_encoding(made, told, text: str, encoding: str) -> None:
    content = (text + ROWS).encode(encoding)
    found = made(content)
    assert told.questions(found) == ["encoding"]
    assert encoding in found.report.questions[0].choices
    found = made(content, answers={"encoding": encoding})
    assert (found.report.kind, found.report.encoding) == ("weather", encoding)
    assert found.values["air"] == pytest.approx([293.15, 294.15])
    assert found.values["wind"] == pytest.approx([5.0, 6.0])


@pytest.mark.parametrize(
    "heading", ["Lufttemperatur °C", "Größe, Höhe, Öl", "créée à l'été, où", "señal µm ±½ Ã", "Zug – Kraft „kN“ …"]
)
def test_text_when_it_is_western_is_read_and_said(made, told, heading: str) -> None:
    found = made(f"# {heading}\ntime_utc;Kraft [kN]\n2026-02-13T10:00:00Z;1\n2026-02-13T10:00:01Z;2\n".encode("cp1252"))
    assert told.questions(found) == []
    assert found.report.encoding == "cp1252"
    assert "encoding-assumed" in told.flags(found)


def test_text_when_the_answer_does_not_fit_its_bytes_is_refused(made) -> None:
    with pytest.raises(InputError, match="encoding"):
        made((RUSSIAN + ROWS).encode("cp1251"), answers={"encoding": "euc_kr"})


def test_year_when_the_encoding_is_open_says_so(tmp_path) -> None:
    path = tmp_path / "year.csv"
    path.write_bytes((RUSSIAN + ROWS).encode("cp1251"))
    with pytest.raises(InputError, match="questions open") as error:
        read_year(path)
    assert "Температура" in error.value.render()


def test_text_when_a_byte_of_utf_8_is_damaged_is_read_and_said(made, told) -> None:
    content = (RUSSIAN + ROWS).encode() + b"2025-07-15 02:00;22\xff;82;7\n"
    found = made(content)
    assert told.questions(found) == []
    assert told.flags(found)["encoding-damaged"] == "caution"
    assert found.report.columns[0].missing == 1
    assert found.values["wind"] == pytest.approx([5.0, 6.0, 7.0])
