"""Words of load tables, in the languages that studies are written in: statistics, shares, cases, lines, environment."""

from __future__ import annotations

import re


def _any(*patterns: str) -> re.Pattern[str]:
    return re.compile("|".join(patterns), re.IGNORECASE)


STATISTICS = {
    "duration": _any(
        "duration", "dauer", "durée", "durata", "duraci[oó]n", r"\bduur\b", "varighet", "exposure", "simulat",
    ),
    "period": _any(
        "period", "période", r"\bt ?[zpe]\b", r"\bt ?m ?(01|02)?\b(?=\W*s?\W*$)", "zero.?(up)?.?cross",
        "null(durchgang|stellen)",
    ),
    "std": _any(
        r"\bst\.?(an)?d?\.?[ -]?(dev|abw)\w*\.?", r"standard[ -]?(deviation|abw|avvik)\w*", r"\bstd\b\.?",
        r"\bs\.?d\.?(?= |$)", "sigma", "σ", r"\brms\b", "[ée]cart[ -]?type",
        "desviaci[oó]n( t[ií]pica| est[aá]ndar)?", "deviazione( standard)?", "standaardafwijking",
        r"standardavvik\w*",
    ),
    "significant": _any(r"signi\w*\.?", r"\bsig\b\.?", r"\b1/3\b"),
    "max": _any(
        r"most prob\w*\.?( max\w*\.?)?", r"\bmpm\b", r"[tf]?max\w*\.?", r"\bpeak\b", r"h(ö|oe)chst\w*",
        r"spitzen\w*", r"extrem\w*", r"m[aá]xim\w*", r"massim\w*", r"\bmaks\w*", r"h(ø|ö)gst\w*", r"h(ø|ö)yest\w*",
        r"\bpointe\b",
    ),
    "min": _any(
        r"\b[tf]?min\b\.?", r"\bm[ií]nim\w*", r"\bmín\w*", "lowest", r"\btrough\b", r"kleinst\w*", r"niedrigst\w*",
        r"\blaveste?\b",
    ),
    "pretension": _any("pre-?tension", "vorspannung", "pré-?tension", "pretensi[oó]n", "voorspanning", "forspenning"),
    "mean": _any(
        r"\b[tf]?mean\b", r"\b[tf]?ave?r?a?ge?\b\.?", r"mittel\w*", r"moyen\w*", r"\bmoy\b\.?", r"\bmedi[ao]\b",
        "promedio", r"gemiddeld\w*", r"\bgj?ennomsnitt\w*", r"\bsnitt\b", r"\bmedel\w*", r"\bstatic\b",
        r"\bsteady\b", r"statisch\w*", "μ",
    ),
    "amplitude": _any(r"amplitude\w*", r"amplitud\b", "ampiezza", r"dynamic\b"),
}  # fmt: skip
SHARE = _any(
    "prob", "wahrsch", "h(ä|ae)ufig", "occurr", "fre[cq]uen", r"\bfreq\b", "% of time", "percent of time", r"\bshare\b",
    "anteil", "weight", "gewicht", "poids", r"\bpeso\b", r"\bhours?\b", r"\bhrs?\b", r"\bh ?/ ?(a|yr?|year)\b",
    "stunden", "heures", r"\bhoras\b", r"\buren\b", r"\btimer\b", r"\bkans\b", "sann(syn|olik)", r"\bcounts?\b",
    "anzahl", "nombre", "^p ?%?$", "fr[eé]quence", r"\bdays\b",
)  # fmt: skip
CASE = _any(
    r"\bcases?\b", r"\bcond(ition)?s?\b", "lastf(a|ä)ll", r"\bfall\b", "s[cz]enario", r"\bcas\b", r"\bcaso\b",
    "tilstand", r"\bstates?\b", "sea ?state", "environment", r"^env\b", "umwelt", "zustand", r"\bgeval\b",
    "conditie", r"^lc\b", "^id$", r"^no\.?$", r"^nr\.?$", r"^run\b", "tilfelle",
)  # fmt: skip
LINE = _any(
    r"\b(mooring )?lines?\b", "leine", "festmacher", r"\btross\w*", "hawser", "l[ií]nea", "linha",
    r"\bhooks?\b", "haken", "amarre", r"\bcabo\b", r"\blijn\b", r"\btros\b", "meertouw", "fortøyning", r"\bcima\b",
)  # fmt: skip
LINE_NAME = re.compile(
    r"(l|ml|line|leine|hook|haken|h|hl|fs|as|fb|ab|sl|bl|bs|ss|trosse|no\.?)?[ _.-]*\d+[a-z]?$"
    r"|.*(spring|breast|head ?line|stern ?line|bow ?line|vorleine|achterleine)",
    re.IGNORECASE,
)
OTHER = _any(
    "utili[sz]", "safety", r"\bsf\b", "auslast", r"\bratio\b", "remark", "comment", "bemerk", r"\bnotes?\b",
    "remarque", "criteri", r"\bok\b", "winch", "position", "bollard", "poller", r"\bmbl\b$", "sdmbl$", "ldbf$",
    "facteur", "fairlead", "angle",
)  # fmt: skip
WAVE_HEIGHT = _any(r"\bh ?s\b", r"\bhm0\b", r"\bh1/3\b", "wave height", "wellenh", r"signifi\w* wave", "hauteur")
ENVIRONMENT = _any(
    WAVE_HEIGHT.pattern, "wave", r"\bwind", "current", r"\bdir", "heading", "draught", "draft", "water level",
    r"\btide", r"\bv ?w\b", "welle", "str(ö|oe)mung", "richtung", r"\bvent\b", "houle", "viento", "corriente",
    "ballast", r"\bswell\b", r"\bsea\b", r"\bgust",
)  # fmt: skip
_GENERIC = """
tension tensions load loads force forces kraft kräfte zugkraft last lasten value values line lines leine mooring of in
the t f dynamic total single range deviation response statistics statistic results result per at no expected tensión
tensione effort efforts carga cargas leinenkraft leinenkräfte double amplitude amplitudes peak to and hour hours kn
trosse trossen spenning krachten kracht nr id name number
"""
GENERIC = frozenset(_GENERIC.split())
_WHOLE = r"( ?(of )?(all )?(cases|lines|conditions))?"
SUMMARY = re.compile(
    r"(overall |all[ -]?(cases|lines) )?(max(imum)?|min(imum)?|mean|average|total|sum(me)?|envelope|gesamt|somme"
    rf"|mittel(wert)?|worst( case)?)[ .:]*{_WHOLE}[ .:]*",
    re.IGNORECASE,
)
HOURS = re.compile(r"(\d+(?:[.,]\d+)?)\s*-?\s*(hours?|hrs?|h|std\.?|stunden?|heures?|min(?:utes)?)\b", re.IGNORECASE)
