"""Frames of crew phones and their clocks: none but frames, times within half a round trip."""

from __future__ import annotations

import struct

from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from calllog.server.clocks import DRIFT, PhoneClock
from calllog.server.frames import (
    BYTES,
    FRAME,
    LATEST_S,
    WHOLE,
    WORN,
    Frame,
    hand_on,
    read_frame,
    taken_on,
    write_frame,
)

frames = st.builds(
    Frame,
    st.integers(0, 2**32 - 1),
    st.floats(0.0, LATEST_S),
    st.binary(min_size=2 * FRAME, max_size=2 * FRAME),
)


@given(frames, st.sampled_from(WORN), st.integers(0, 1000))
def test_frame_comes_through_as_it_was(frame: Frame, role: object, page: int) -> None:
    """From the phone to the page's process, and from there to the field loop."""
    assert read_frame(write_frame(frame)) == frame
    assert isinstance(role, type(WORN[0]))
    handed = hand_on(role, page, frame)
    assert len(handed) == WHOLE
    assert taken_on(handed) == (role, page % 256, frame)


@given(st.binary(max_size=2 * BYTES))
def test_what_is_no_frame_is_none(sent: bytes) -> None:
    """Whatever a stranger sends is a frame or nothing, never an error."""
    frame, handed = read_frame(sent), taken_on(sent)
    assert frame is None or (len(sent) == BYTES and 0.0 <= frame.at_s <= LATEST_S)
    assert handed is None or (len(sent) == WHOLE and handed[0] in WORN)


def test_layout_is_the_one_that_the_page_writes() -> None:
    """Number, time, samples, least significant byte first, as its DataView does."""
    sent = struct.pack("<Id", 7, 1.5) + struct.pack("<320h", *range(320))
    frame = read_frame(sent)
    assert frame == Frame(7, 1.5, struct.pack("<320h", *range(320)))
    for wrong in (float("nan"), float("inf"), -1.0, 2 * LATEST_S):
        assert read_frame(struct.pack("<Id", 7, wrong) + bytes(640)) is None


@settings(phases=(Phase.explicit, Phase.reuse, Phase.generate))
@given(
    ahead_s=st.floats(-1e6, 1e6),
    drift=st.floats(-DRIFT / 2, DRIFT / 2),
    ways=st.lists(st.tuples(st.floats(0.0, 0.3), st.floats(0.0, 0.3)), min_size=4, max_size=60),
)
def test_phones_clock_is_known_within_half_a_round_trip(
    ahead_s: float, drift: float, ways: list[tuple[float, float]]
) -> None:
    """Whatever either way takes: the bound that it states holds, and is that of the best answer."""
    clock = PhoneClock()
    now_s = 1000.0
    for there_s, back_s in ways:
        phone_s = (now_s + there_s) * (1 + drift) - ahead_s
        now_s += there_s + back_s
        clock.note(now_s - there_s - back_s, phone_s, now_s)
        now_s += 0.25
    true_s = now_s - 0.25
    found_s = clock.here_s(true_s * (1 + drift) - ahead_s)
    assert clock.is_known
    assert abs(found_s - true_s) <= clock.within_s + 1e-6 + DRIFT * 0.6
    best_s = min((there_s + back_s) / 2 for there_s, back_s in ways)
    assert clock.within_s <= best_s + DRIFT * 40


def test_answer_from_before_its_question_is_none() -> None:
    """Nonsense moves no clock."""
    clock = PhoneClock()
    clock.note(2.0, 5.0, 1.0)
    assert not clock.is_known
