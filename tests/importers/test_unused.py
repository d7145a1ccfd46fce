"""A column that nobody reads is named, whatever kind of file it stands in. All tables are invented."""

import pytest

MONTHS = "".join(f"{month},22,29,4,50,70,8\n" for month in range(1, 13))
TABLES = {
    "thermocouple": ("time [s],TC1 [degC],battery [V]\n0,20,12\n1,21,12\n2,21,12\n3,22,12\n", "battery [V]"),
    "tensile": (
        "time [s],force [kN],extension [mm],battery [V]\n0,0,0,12\n1,10,2,12\n2,20,4,12\n3,5,6,12\n",
        "battery",
    ),
    "load table": (
        "Case;Probability [%];Line;Mean [kN];Std [kN];Remark\nswell;30;FS1;230;35;fine\nstorm;70;FS1;250;60;\n",
        "Remark",
    ),
    "reanalysis": (
        "valid_time,latitude,longitude,t2m,u10,v10,foo\n2025-01-01 00:00:00,20,58,290,3,4,1\n"
        "2025-01-01 01:00:00,20,58,290,3,4,1\n",
        "foo",
    ),
    "buoy": (
        "#YY  MM DD hh mm WDIR WSPD WVHT DPD FOO\n#yr mo dy hr mn degT m/s m sec x\n"
        "2025 01 01 00 50 230 5.0 1.2 8 3\n2025 01 01 01 50 230 5.0 1.2 8 3\n",
        "FOO",
    ),
    "station": (
        'STATION,DATE,TMP,WND,REM\n1,2025-01-01T00:00:00,"+0200,1","230,1,N,0050,1",said\n'
        '1,2025-01-01T01:00:00,"+0200,1","230,1,N,0050,1",said\n',
        "REM",
    ),
    "own weather": (
        "time (UTC),air temp [degC],wind speed [m/s],tank\n2025-01-01 00:00,20,5,3\n2025-01-01 01:00,20,5,3\n",
        "tank",
    ),
    "climate table": (
        "month,air low [degC],air high [degC],wind [m/s],cloud [%],rh [%],visibility [km]\n" + MONTHS,
        "visibility",
    ),
    "calls": ("call,port,zone,arrival,departure,remarks\n1,A,UTC,2026-01-04 06:10,2026-01-05 07:10,rain\n", "remarks"),
}


@pytest.mark.parametrize("kind", TABLES)
def test_column_that_nobody_reads_is_named(made, kind: str) -> None:
    text, name = TABLES[kind]
    report = made(text).report

    columns = [item.name for item in report.columns if item.quantity == "not used"]
    said = [flag.text for flag in report.flags if "not used" in flag.text]
    assert any(name in word for word in (*columns, *said)), (columns, said)
