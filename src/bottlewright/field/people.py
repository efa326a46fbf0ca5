"""The published distance that people keep from a launch."""

from bottlewright.proof.rules import Rule, rule_table, strictest

__all__ = ["people_rule"]


def people_rule() -> Rule:
    """Return the strictest published distance for spectators."""
    rule = strictest((rule for rule in rule_table() if rule.role == "spectators"), "distance", "spectators")
    assert rule is not None
    return rule
