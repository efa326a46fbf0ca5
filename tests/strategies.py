"""Generated designs: plausible rockets over wide ranges, as the text of design files that are accepted."""

from typing import Any

import tomlkit
from hypothesis import settings
from hypothesis import strategies as st

from bottlewright.design.tables import bottles, materials

SHEETS = ["balsa", "plywood", "card", "paper", "corrugated-plastic", "foam-board"]


def share(count: int) -> int:
    """Return how many of the examples of a test are tried: all by ``--hypothesis-profile=whole``, else three in ten."""
    return count * settings().max_examples // 100


def _round(value: float, digits: int = 4) -> str:
    return f"{value:.{digits}g}"


@st.composite
def quantities(draw: Any, low: float, high: float, unit: str) -> str:
    """Draw a value with its unit, now and then with a ±."""
    value = draw(st.floats(low, high))
    spread = draw(st.sampled_from([0.0, 0.0, 0.01, 0.05]))
    return f"{_round(value)} {unit}" + (f" ± {_round(abs(value) * spread)} {unit}" if spread else "")


@st.composite
def vessels(draw: Any) -> tuple[dict[str, Any], float, float, float]:
    """Draw a vessel with its capacity (mL), neck bore (mm) and diameter (mm)."""
    if draw(st.booleans()):
        row = draw(st.sampled_from(list(bottles().values())))
        return {"bottle": row.name}, row["volume"].value * 1e6, 21.7, row["diameter"].value * 1e3
    volume = draw(st.floats(300.0, 5000.0))
    diameter = draw(st.floats(0.8, 1.25)) * 8.6 * volume ** (1.0 / 3.0)  # mm, about a real bottle's
    neck = draw(st.floats(12.0, min(40.0, 0.6 * diameter)))
    measured = {
        "volume": f"{volume:.1f} mL", "diameter": f"{diameter:.2f} mm", "neck_bore": f"{neck:.2f} mm",
        "kind": draw(st.sampled_from(["carbonated", "still", "unknown"])),
    }
    return measured, volume, neck, diameter


@st.composite
def design_tables(draw: Any) -> dict[str, Any]:
    """Draw a design as nested tables."""
    vessel, volume, neck, diameter = draw(vessels())
    tables: dict[str, Any] = {"schema": 1, "name": draw(st.sampled_from(["Curlew", "Dabchick"])), "vessel": vessel}
    bore = neck
    if draw(st.booleans()):
        bore = draw(st.floats(4.0, 0.95 * neck))
        shapes = st.sampled_from(["rounded", "square-edged", "tube", "cone", "re-entrant"])
        tables["nozzle"] = {"bore": f"{bore:.2f} mm", "shape": draw(shapes)}
    if draw(st.booleans()):
        shape = draw(st.sampled_from(["ogive", "cone", "paraboloid", "ellipsoid", "hemisphere", "flat", "bottle"]))
        tables["nose"] = {"shape": shape, "material": draw(st.sampled_from(["expanded-polystyrene", "card", "pla"]))}
        if shape in ("ogive", "cone", "paraboloid", "ellipsoid"):
            tables["nose"]["length"] = f"{draw(st.floats(0.6, 3.0)) * diameter:.1f} mm"
        if tables["nose"]["material"] != "expanded-polystyrene":
            tables["nose"]["wall"] = draw(quantities(0.2, 2.0, "mm"))
    if draw(st.integers(0, 3)):
        root = draw(st.floats(0.4, 1.0)) * diameter
        tables["fins"] = {
            "count": draw(st.integers(3, 6)), "root": f"{root:.1f} mm",
            "tip": f"{draw(st.floats(0.2, 1.0)) * root:.1f} mm",
            "span": f"{draw(st.floats(0.3, 1.5)) * diameter:.1f} mm",
            "sweep": f"{draw(st.floats(0.0, 1.2)) * root:.1f} mm", "material": draw(st.sampled_from(SHEETS)),
        }
    if draw(st.booleans()):
        ballast, place = draw(quantities(1.0, 200.0, "g")), draw(quantities(0.0, 100.0, "mm"))
        tables["mass"] = [{"name": "ballast", "mass": ballast, "position": place}]
    tables["recovery"] = draw(recoveries())
    tables["charge"] = {
        "water": f"{draw(st.floats(0.0, 0.9)) * volume:.1f} mL",
        "pressure": draw(quantities(0.3, 10.0, "bar")),
        "temperature": draw(quantities(2.0, 35.0, "°C")),
    }
    tables["launcher"] = {
        "guide_length": draw(quantities(0.05, 2.0, "m")), "tilt": draw(quantities(0.0, 30.0, "deg")),
        "leans_towards": draw(quantities(0.0, 360.0, "deg")),
    }
    if draw(st.integers(0, 3)) == 0:
        tables["launcher"]["tube_diameter"] = f"{0.9 * bore:.2f} mm"
        tables["launcher"]["tube_length"] = draw(quantities(20.0, 80.0, "mm"))
    else:
        tables["launcher"]["stroke"] = draw(quantities(0.0, 30.0, "mm"))
    if draw(st.booleans()):
        tables["launcher"] |= {
            "supply": draw(st.sampled_from(["none", "hose", "infinite"])),
            "hose_volume": draw(quantities(0.0, 2.0, "L")), "restriction": draw(quantities(1.0, 10.0, "mm")),
        }
    tables["weather"] = {
        "temperature": draw(quantities(-5.0, 38.0, "°C")), "humidity": f"{draw(st.integers(0, 100))} %",
        "wind_speed": draw(quantities(0.0, 10.0, "m/s")), "wind_from": draw(quantities(0.0, 360.0, "deg")),
        "terrain": draw(st.sampled_from(["water", "grass", "crops", "hedges", "parkland", "suburb"])),
    }
    tables["model"] = {
        "gas": draw(st.sampled_from(["moist", "dry", 1.2, 1.4])),
        "jet": draw(st.sampled_from(["unsteady", "quasi-steady"])),
        "gas_vessel": draw(st.sampled_from(["adiabatic", "isothermal"])),
        "breakthrough": _round(draw(st.sampled_from([0.0, 0.05, 0.2, 0.3]))),
    }
    return tables


@st.composite
def recoveries(draw: Any) -> dict[str, Any]:
    """Draw how it comes down."""
    kind = draw(st.sampled_from(["none", "parachute", "streamer"]))
    if kind == "none":
        return {"kind": kind}
    release = draw(st.sampled_from(["apogee", "delay", "never"]))
    table = {"kind": kind, "release": release}
    if release == "delay":
        table["delay"] = draw(quantities(0.5, 8.0, "s"))
    if kind == "parachute":
        shapes = st.sampled_from(["hexagon", "octagon", "round", "square", "cross", "hemisphere"])
        return table | {"canopy": draw(shapes), "diameter": draw(quantities(150.0, 1200.0, "mm"))}
    return table | {"length": draw(quantities(0.3, 4.0, "m")), "width": draw(quantities(30.0, 200.0, "mm"))}


def designs() -> st.SearchStrategy[str]:
    """Draw the text of a design file that `parse_design` accepts."""
    return design_tables().map(tomlkit.dumps)


_NEEDED = {("charge", "pressure"), ("vessel", "bottle"), ("vessel", "volume")}


@st.composite
def sparse_designs(draw: Any) -> str:
    """Draw the text of a design file in which much is left out, so that much is filled in; some are refused."""
    tables = draw(design_tables())
    leaves_out = draw(st.randoms(use_true_random=False))
    for name, table in tables.items():
        if isinstance(table, dict):
            for key in [key for key in table if (name, key) not in _NEEDED and leaves_out.random() < 0.5]:
                del table[key]
    tables["vessel"]["count"] = draw(st.integers(1, 3))
    if draw(st.booleans()):
        tables["launcher"] |= {"hose": {"length": "12 m", "bore": "7 mm"}, "valve": {}}
    return tomlkit.dumps(tables)


EVERY_MATERIAL = sorted(materials())
