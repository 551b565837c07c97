"""What could stand at a place, told without the grammar's own names."""

from collections.abc import Iterable

_SYMBOLS = {
    "LBRACE": "{",
    "RBRACE": "}",
    "LPAR": "(",
    "RPAR": ")",
    "LSQB": "[",
    "RSQB": "]",
    "COMMA": ",",
    "COLON": ":",
    "EQUAL": "=",
    "PERCENT": "%",
    "RANGE": "..",
    "TO": "->",
    "BOTH": "<->",
    "STAR": "*",
}
_SHAPES = {
    "NAME": "a name",
    "MEMBER": "a port such as `.start`",
    "ARGUMENT": "a name and a colon",
    "NUMBER": "a number",
    "TIME": "a time such as `3 s`",
    "TEXT": 'a text in `"`',
    "$END": "the end of the file",
}
_OPERATORS = frozenset(
    [
        "SIGN",
        "STAR",
        "DIV",
        "MOD",
        "COMPARED",
        "EQUAL",
        "IS",
        "IS_IN",
        "IS_BETWEEN",
        "AND",
        "OR",
        "STARTS",
        "ENDS",
        "MEMBER",
        "LSQB",
    ]
)
_OPERANDS = frozenset(
    [
        "NAME",
        "NUMBER",
        "TIME",
        "LPAR",
        "NOT",
        "YES",
        "NO",
        "ANYWHERE",
        "SOMEONE",
        "AT_MOST",
        "AT_LEAST",
        "EXACTLY",
        "ALL_OF",
        "ANY_OF",
        "NONE_OF",
        "SUM_OF",
        "COUNT_OF_WALKERS_IN",
    ]
)
_SENTENCES = frozenset(
    [
        "NEVER",
        "ALWAYS",
        "POSSIBLE",
        "ALWAYS_POSSIBLE",
        "EVENTUALLY",
        "WHILE",
        "AFTER",
        "FROM",
        "FROM_ANYWHERE",
    ]
)
STATEMENTS = frozenset(
    [
        "TICK",
        "TOLERANCE",
        "SETTING",
        "LET",
        "FOR",
        "IN",
        "OUT",
        "USES",
        "KEEP",
        "FREE",
        "ROOMS",
        "PASSAGE",
        "WALKER",
        "ONE_PRESS_AT_A_TIME",
        "ASSUME",
        "CLAIM",
        "STARVING_ALLOWED",
        "NAME",
    ]
)
_CLAIM_WORDS = frozenset(
    ["LASTS", "RETURNS", "LEADS_TO", "ONLY_AFTER", "ONLY_WHILE", "AT_MOST", "NO_SOONER_THAN"]
)
_GROUPS = (
    (
        frozenset({"COLON", "TO", "BECOMES"}),
        frozenset({"COLON", "TO", "BECOMES", "LOADS", "RUNS_WHILE", "WHEN", "MEMBER", "LSQB"}),
        "`:` for a part, `->` for a wire, `when` or `becomes`",
    ),
    (frozenset({"LET", "CLAIM", "NAME"}), STATEMENTS, "the next statement"),
    (frozenset({"NEVER", "NOT"}), _SENTENCES | _OPERANDS, "a sentence such as `never P`"),
    (frozenset({"NOT", "NAME"}), _OPERANDS, "a condition or an amount"),
    (
        frozenset({"LASTS", "LEADS_TO"}),
        _OPERATORS | _CLAIM_WORDS,
        "a word of claims such as `lasts` or `leads to`",
    ),
    (frozenset({"LPAR", "NUMBER"}), _OPERANDS, "an amount or a time"),
    (frozenset({"SIGN", "STAR"}), _OPERATORS, "an operator such as `+`"),
)
"""If all of the first can stand at a place, the second are told as one."""


def could_stand(wanted: Iterable[str]) -> str:
    """Tell in a person's words what could stand at a place."""
    left = set(wanted)
    told = []
    for signs, covered, words in _GROUPS:
        if signs <= left:
            told.append(words)
            left -= covered
    told = sorted({_terminal(one) for one in left}) + told
    return told[0] if len(told) == 1 else f"{', '.join(told[:-1])} or {told[-1]}"


def _terminal(name: str) -> str:
    if name in _SHAPES:
        return _SHAPES[name]
    return f"`{_SYMBOLS.get(name) or name.lower().replace('_', ' ')}`"
