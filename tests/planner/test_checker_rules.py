"""Each rule stands once as a name with its sentence, once as a check, and in a spec file of its own."""

from __future__ import annotations

from pathlib import Path

from planner.checks import RULES
from planner.rules import Rule

SPEC = Path(__file__).parent / "spec"


def test_the_checks_follow_the_rules_in_order() -> None:
    told = [(check.__doc__ or "")[:4] for check in RULES]
    assert told == [f"{rule.name}:" for rule in Rule]
    assert [rule.name for rule in Rule] == [f"R{n:02d}" for n in range(1, 15)]


def test_each_rule_has_a_short_name_and_one_sentence() -> None:
    assert len({rule.title for rule in Rule}) == 14
    for rule in Rule:
        assert len(rule.title) <= 20
        assert rule.meaning[0].isupper()
        assert rule.meaning.endswith(".")
        assert rule.meaning.count(".") == 1


def test_each_rule_has_its_spec_file() -> None:
    for rule in Rule:
        assert len(list(SPEC.glob(f"test_{rule.name.lower()}_*.py"))) == 1
