"""A launch and a time under pressure, invented, for tests of the logbook."""

from bottlewright.logbook.records import FlightFile, Pressurised

FLIGHT = FlightFile.model_validate({
    "entry": "f1", "day": "2027-03-20", "number": 3, "rocket": "Curlew", "vessel": "B07", "crew": {"pumped": "M. R."},
    "design": '# drawn by "K"\n[vessel]\nid = "B07"\n', "prediction": {"made": "2027-03-20T09:00:00", "height": "52 m"},
    "loaded": {"water": "500 mL", "pressure": "4.5 bar"}, "landing": "tree", "photos": ["IMG_1.jpg"],
    "measured": [{"what": "height", "value": "48 m ± 2 m", "how": "two stations"}],
})


def cycle(entry: str, at: str = "2027-03-20T10:15:00", **more) -> Pressurised:
    return Pressurised.model_validate({"entry": entry, "at": at, "peak": "4.6 bar", "ended": "vented", **more})
