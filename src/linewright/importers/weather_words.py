"""Which quantity of weather or waves a heading names: English, German, Spanish, Russian and Japanese words."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence

HEIGHT = re.compile(r"(?i)(?<![\d.,])(\d{1,3}(?:[.,]\d+)?) ?[_-]?(m|metres?|meters?|ft|feet)(?![a-z0-9/])(?! ?s-1)")
ABOUT_WIND = re.compile(r"(?i)([\d.,]+ ?m (?:mast |high )?(?=wind|anemom))|(?:wind|anemom|viento|ветр)(.*\d.*)")
AT_HEIGHT = (
    "the wind is measured at {height}; it is kept as measured, wind_at_line of the climate card takes it to the line"
)

# One of the options, all of whose words stand in the heading; the first that fits wins. Without accents.
_WORDS = """
gust: gust | gusts | wgst | boe | racha | rachas | rafaga | порыв | порывы | 突風 | 最大瞬間風速
wind_from: wind dir | wind direction | wdir | wind from | winddir | windrichtung | winddirection | direccion viento
 | dir viento | направление ветра | 風向
swell_height: swell height | hs swell | swell hs | altura fondo | うねり 波高
swell_period: swell period | tp swell | swell tp | periodo fondo
swell_from: swell dir | swell direction | swell from | direccion fondo
wind_sea_height: windsea height | hs windsea | wind sea height
wave_from: mwd | wave dir | wave direction | wave from | dirp | direccion ola | direccion oleaje | направление волн
 | 波向
wave_height: hs | hm | swh | wvht | wave height | significant wave | altura ola | altura oleaje | altura significante
 | altura significativa | высота волн | высота волны | 波高
peak_period: tp | dpd | peak period | periodo pico | 周期 ピーク
mean_period: tm | tz | apd | mwp | mean period | wave period | periodo medio | период волн | 波 周期
wind: wspd | ws | wind speed | windspeed | wind | windgeschwindigkeit | ff | viento | скорость ветра | ветер | 風速
dew_point: dew | dewpoint | dewp | td | taupunkt | rocio | точка росы | 露点
water: sst | water temp | sea temp | wtmp | water temperature | sea temperature | temperatura agua | temperatura mar
 | температура воды | 水温
relative_humidity: rh | humidity | rhum | hum | feuchte | luftfeuchte | humedad | влажность | 湿度
pressure: pressure | pres | slp | mslp | qnh | baro | luftdruck | presion | давление | 気圧
beam: dni | beam | direct normal | radiacion directa | 直達
diffuse: dhi | diffuse | radiacion difusa | 散乱
long_wave: longwave | long wave | infrared | lw
level: ghi | solar | radiation | irradiance | global | globalstrahlung | radiacion | irradiancia | радиация | 日射
cloud: cloud | clouds | sky cover | okta | bewoelkung | bewolkung | nubosidad | nubes | облачность | 雲量
rain: rain | precip | precipitation | rainfall | lluvia | precipitacion | осадки | 降水
air: air | tair | temp | temperature | atmp | dry bulb | drybulb | lufttemperatur | temperatur | temperatura
 | температура | 気温
"""
WORDS = {
    key.strip(): [option.split() for option in options.replace("\n", " ").split("|")]
    for key, options in re.findall(r"(?m)^(\w+):((?:.*\n(?: \|.*\n)*))", _WORDS)
}


def plain(text: str) -> str:
    """A text in small letters without accents; the marks of kana stay."""
    parts = unicodedata.normalize("NFKD", text)
    bare = "".join(char for char in parts if not unicodedata.combining(char) or char in "\u3099\u309a")
    return unicodedata.normalize("NFC", bare).lower()


def quantity(name: str) -> str:
    """The quantity that a heading names, or nothing."""
    text = plain(re.sub(r"(?<=[a-z])(?=[A-Z])", " ", re.sub(r"[\[(（].*?[\])）]", "", name)))
    words = set(re.findall(r"[^\W\d_]+", text))
    return next((key for key, options in WORDS.items() if any(_fits(option, words, text) for option in options)), "")


def _fits(option: list[str], words: set[str], text: str) -> bool:
    """Whether the words of an option stand in a heading; those of a script without blanks anywhere in it."""
    return all(word in (text if word[0] >= "\u3040" else words) for word in option)


def wind_height(heading: str, preamble: Sequence[str]) -> str:
    """The height of the wind and where it is stated: in its heading, else above the table; empty where nowhere."""
    name = re.sub(r"[\[(]\s*(m ?/ ?s|m ?s-1|mps)\s*[\])]", "", heading)
    told = [match[1] or match[2] for line in preamble if (match := ABOUT_WIND.search(line))]
    for text, place in ((name, "in its heading"), *((part, "above the table") for part in told)):
        found = HEIGHT.search(text)
        if found:
            return f"{float(found[1].replace(',', '.')):g} {'ft' if found[2].lower().startswith('f') else 'm'}, {place}"
    return ""
