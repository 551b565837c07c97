"""Which files are changed, and the tests that have to see it, the quickest first."""

from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]

NATIVE = "tests/logic/test_native_by_hand.py"
TICK = "tests/logic/test_tick_by_hand.py"
JUDGE = "tests/logic/test_judge_by_hand.py"
JUMPS = "tests/logic/test_jumps.py"
BOUNDED = ("tests/logic/test_jumps_by_hand.py", "tests/logic/test_jumps_small.py", JUDGE)
PRINTED = "tests/system/test_printed.py"
PROGRAM = "tests/system/test_program.py"
AHEAD = "tests/system/test_ahead.py"
REPLAY = (
    "tests/verdict/test_replay_by_hand.py",
    "tests/verdict/test_replay_random.py",
    "tests/verdict/test_replay.py",
)

MONITORS = "tests/semantics/test_monitors_by_hand.py"
QUESTIONS = "tests/system/test_questions.py"
TIMES = "tests/design/test_times.py"
OPERATORS = "tests/design/test_operators.py"
SETTLE = "tests/design/test_settle.py"
SENTENCES = "tests/design/test_sentences.py"
BLOCKS = (
    *("tests/design/test_mistakes.py", "tests/design/test_blocks.py", "tests/design/test_wires.py"),
)

TARGETS: dict[str, tuple[str, ...]] = {
    "verifier/logic/tick.py": (TICK, "tests/logic/test_strangers.py", "tests/logic/test_tick.py"),
    "verifier/logic/judge.py": (JUDGE, "tests/logic/test_judge_anywhere.py"),
    "verifier/logic/terms.py": ("tests/logic/test_terms.py", TICK, JUMPS),
    "verifier/logic/native.py": (NATIVE, "tests/logic/test_native.py"),
    "verifier/logic/jumps.py": (*BOUNDED, JUMPS),
    "verifier/logic/observed.py": BOUNDED,
    "verifier/verdict/ruling.py": ("tests/verdict/test_ruling.py",),
    "verifier/verdict/replay.py": REPLAY,
    "verifier/verdict/explored.py": (
        *("tests/verdict/test_explored_by_hand.py", "tests/verdict/test_explored.py"),
    ),
    "verifier/verdict/variant.py": ("tests/verdict/test_variant.py", JUDGE),
    "verifier/system/state.py": ("tests/system/test_cone.py", *REPLAY),
    "verifier/system/starts.py": ("tests/system/test_starts.py",),
    "verifier/system/cone.py": ("tests/system/test_cone.py", PROGRAM, TICK, JUDGE),
    "verifier/system/fold.py": ("tests/system/test_fold.py", TICK, "tests/verdict/test_variant.py"),
    "verifier/system/expr.py": ("tests/system/test_expr.py",),
    "verifier/system/printed.py": (PRINTED, PROGRAM),
    "verifier/system/ahead.py": (AHEAD,),
    "verifier/system/program.py": (PRINTED, PROGRAM, AHEAD, *REPLAY[:1]),
    "verifier/system/draft.py": (
        *("tests/system/test_draft.py", MONITORS, "tests/system/test_numbers.py"),
    ),
    "verifier/system/monitors.py": (MONITORS, QUESTIONS, "tests/system/test_allowed.py"),
    "verifier/system/lower.py": (
        *("tests/system/test_lower.py", "tests/system/test_allowed.py", QUESTIONS, PROGRAM),
    ),
    "verifier/design/sentences.py": (SENTENCES, *BLOCKS),
    "verifier/design/coerce.py": (TIMES, OPERATORS, SETTLE, SENTENCES, *BLOCKS),
    "verifier/design/operators.py": (TIMES, OPERATORS, SENTENCES, *BLOCKS),
    "verifier/design/settle.py": (SETTLE, TIMES, *BLOCKS),
    "verifier/verdict/rules.py": (
        "tests/verdict/test_rules_by_hand.py",
        "tests/verdict/test_rules.py",
    ),
}
