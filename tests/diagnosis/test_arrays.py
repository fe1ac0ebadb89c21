from __future__ import annotations

from diagnose.diagnosis.arrays import Recent


def test_only_the_last_results_are_kept() -> None:
    made: list[int] = []
    recent: Recent[int, int] = Recent(3)

    def get(key: int) -> int:
        def make() -> int:
            made.append(key)
            return key * key

        return recent.get(key, make)

    assert [get(key) for key in (1, 2, 3, 1, 4)] == [1, 4, 9, 1, 16]
    assert made == [1, 2, 3, 4]
    assert get(1) == 1  # used lately, so 2 gave way to 4
    assert get(2) == 4
    assert made == [1, 2, 3, 4, 2]
