"""How a problem is told: where it stands, what is wrong, and one remedy after one full stop."""

from __future__ import annotations

import pytest

from stockcheck.core.errors import BadInput, Problem, with_remedy


@pytest.mark.parametrize(
    ("what", "said"),
    [
        ("there is no kind 'gleu'; did you mean 'glue'?", "did you mean 'glue'? Name a kind"),
        ("there is none.", "there is none. Name a kind"),
        ("there is none", "there is none. Name a kind"),
    ],
)
def test_a_remedy_follows_however_the_first_sentence_ends(what: str, said: str) -> None:
    assert with_remedy(what, "Name a kind").endswith(said)
    assert str(Problem("a.csv", 2, "kind", "gleu", what, "Name a kind")).endswith(said)


def test_without_a_remedy_nothing_follows() -> None:
    assert str(BadInput("there is none")) == "there is none"
    assert str(BadInput("there is none", "Make one")) == "there is none. Make one"


@pytest.mark.parametrize(
    ("field", "value", "what", "said"),
    [
        ("kind", "", "is missing", "--kind is missing. Mend it"),
        ("width_mm", "x", "is not a number", "--width-mm 'x' is not a number. Mend it"),
        ("box", "Zoo", "there is no such box", "--box 'Zoo': there is no such box. Mend it"),
    ],
)
def test_a_problem_with_an_option_names_the_option(
    field: str, value: str, what: str, said: str
) -> None:
    assert Problem("the options", 1, field, value, what, "Mend it").by_option == said
