"""The table of what the tests run adds up as it should."""

from tests.coverage.table import Counts, least, table

COUNTS: Counts = {
    "verifier/logic/one.py": {
        "summary": {
            "num_statements": 8,
            "covered_lines": 8,
            "num_branches": 4,
            "covered_branches": 3,
            "percent_covered": 91.7,
            "percent_covered_display": "92",
        }
    },
    "verifier/logic/two.py": {
        "summary": {
            "num_statements": 2,
            "covered_lines": 1,
            "num_branches": 0,
            "covered_branches": 0,
        }
    },
    "verifier/pipeline.py": {
        "summary": {
            "num_statements": 10,
            "covered_lines": 10,
            "num_branches": 4,
            "covered_branches": 4,
        }
    },
}


def test_files_are_added_up_by_folder() -> None:
    assert table(COUNTS)[2:] == [
        "| verifier/logic | 10 | 90.0 % | 4 | 75.0 % |",
        "| verifier/pipeline.py | 10 | 100.0 % | 4 | 100.0 % |",
        "| all | 20 | 95.0 % | 8 | 87.5 % |",
    ]
    assert least(COUNTS) == 87.5
