"""Whether a key comes twice, for any keys and however many are sorted at a time."""

from functools import cache

from hypothesis import given, settings
from hypothesis import strategies as st

from witnessmark.records import unique
from witnessmark.records.store import connect
from witnessmark.records.unique import Keys, key_hash, prove_unique

KEYS = st.lists(st.tuples(st.integers(0, 9), st.sampled_from(["a", "b", None])), max_size=12)


@given(KEYS, st.sampled_from([1, 3, 100]))
@settings(max_examples=60, deadline=None)
def test_keys_are_proved_unique_if_and_only_if_none_comes_twice(keys, at_once):
    unique_at_once, unique.AT_ONCE = unique.AT_ONCE, at_once
    try:
        proved = _proved(keys)
    finally:
        unique.AT_ONCE = unique_at_once
    assert (proved is not None) == (len(set(keys)) == len(keys))
    assert proved is None or proved.rows == len(keys)


@given(KEYS, KEYS)
@settings(max_examples=60, deadline=None)
def test_two_sets_of_keys_have_the_same_sum_if_and_only_if_they_are_the_same(some, others):
    one, other = _proved(list(set(some))), _proved(list(set(others)))
    assert (one == other) == (set(some) == set(others))


def test_no_keys_are_unique():
    assert _proved([]) == Keys(0, 0)


@cache
def _connection():
    """One for all examples: to open another takes longer than to ask it."""
    return connect()


def _proved(keys):
    con = _connection()
    con.execute("create or replace temp table t (a integer, b varchar)")
    if keys:
        con.executemany("insert into t values (?, ?)", keys)
    return prove_unique(con, f"select {key_hash(['a', 'b'])} as key_hash from t")
