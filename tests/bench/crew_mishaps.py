"""What befalls crews of phones in trials: networks, killed programs, and the blunders of people."""

from __future__ import annotations

import os
import signal
from contextlib import suppress
from dataclasses import replace

from playwright.sync_api import expect

from calllog.demo import load_day
from tests.bench.crew_trials import (
    AROUND_S,
    PATIENCE_S,
    Befalls,
    Playing,
    Trial,
    bodies,
    clock,
    entries,
)
from tests.crew_phones import LINE, PATIENCE_MS, of_browser, with_children

STOP_S = (46.8, 59.0)
"""A pull whose check is a foot short."""
CUT_AT_S = 50.0
"""Right before head calls a part."""
KILL_AT_S = 42.0
"""Between two pulls."""
CHECK_AT_S = 36.6
"""Of the first recording: ends were switched, and the check is still to be called."""
SILENT_AT_S = 49.2
"""Head says nothing from a second before it to a second after it."""
LONG_S = (30.9, 94.0)
"""Of the first recording: three pulls."""
CALL_S = 6.0
"""How long a phone rings and is talked on."""
JITTER_S, LOSS = 0.2, 0.05


def cut(seconds: float) -> Befalls:
    """Cut head's network for a while."""

    def befalls(playing: Playing) -> None:
        playing.wait_until(CUT_AT_S)
        playing.network.cut()
        playing.crew.let_pass(seconds)
        playing.network.mend()
        playing.told["heard again after [s]"] = round(playing.until_heard("head"), 1)

    return befalls


def rough(playing: Playing) -> None:
    """Make head's network bad."""
    playing.network.ask(f"rough {JITTER_S} {LOSS}")


def kill_browser(playing: Playing) -> None:
    """Kill rear's browser in the middle."""
    playing.wait_until(KILL_AT_S)
    playing.crew.browsers.pop("rear").close()
    del playing.crew.pages["rear"]


def kill_logger(playing: Playing) -> None:
    """Take the logger's power away, and go on by the same command."""
    crew = playing.crew
    playing.wait_until(KILL_AT_S)
    gone_s = clock()
    crew.terminal.kill()
    crew.terminal.close()
    crew.start()
    crew.wait(lambda: b"y lets" in crew.terminal.seen, PATIENCE_S)
    crew.terminal.type("y")
    took_s = playing.until_heard(*crew.pages)
    playing.told |= {
        "logger is back after [s]": round(clock() - took_s - gone_s, 1),
        "heard again after [s]": round(took_s, 1),
    }
    playing.without_a_logger = (gone_s - AROUND_S, clock() + AROUND_S)


def chief_decides(playing: Playing) -> None:
    """A chief's phone beside keeps the first of a pull that stopped."""
    page = playing.crew.chief("Anna")
    button = page.get_by_role("button", name="Keep first")
    playing.crew.wait(button.is_visible, 60.0)
    playing.crew.let_pass(0.8)
    button.tap()
    playing.crew.wait(lambda: entries(playing.crew.job, "decision"), 30.0)
    (asked,) = bodies(playing.crew.job, "phone_asked")
    playing.told["decided by"] = asked["name"]


def reload_page(playing: Playing) -> None:
    """Head's page is loaded anew in a pull, and agreed to again."""
    page = playing.crew.pages["head"]
    playing.wait_until(CUT_AT_S)
    page.reload()
    expect(page.locator("#consent")).to_be_visible(timeout=PATIENCE_MS)
    playing.crew.let_pass(1.0)
    page.locator("#agree").click()
    playing.told["heard again after [s]"] = round(playing.until_heard("head"), 1)


def phone_call(playing: Playing) -> None:
    """Head's phone rings: the microphone is muted and the sound stands still, until it is over."""
    page = playing.crew.pages["head"]
    playing.wait_until(CUT_AT_S)
    page.evaluate(
        """async () => {
            globalThis.goesOn = context.resume.bind(context);
            context.resume = async () => {};
            await context.suspend();
            track.dispatchEvent(new Event("mute"));
        }"""
    )
    playing.crew.let_pass(CALL_S)
    page.evaluate("async () => { await goesOn(); track.dispatchEvent(new Event('unmute')); }")
    playing.told["heard again after [s]"] = round(playing.until_heard("head"), 1)


def unplugged(playing: Playing) -> None:
    """Head's headset is pulled out: its microphone ends, the phone has another one."""
    playing.wait_until(CUT_AT_S)
    page = playing.crew.pages["head"]
    page.evaluate("() => { track.stop(); track.dispatchEvent(new Event('ended')); }")
    playing.told["heard again after [s]"] = round(playing.until_heard("head"), 1)


def stops(at_s: float, seconds: float) -> Befalls:
    """Nothing of head's phone runs for a while: it is too busy, or sleeps."""

    def befalls(playing: Playing) -> None:
        browsers = of_browser(playing.files[0])
        stopped = [pid for each in browsers for pid in with_children(each)]
        playing.wait_until(at_s)
        for pid in stopped:
            with suppress(ProcessLookupError):
                os.kill(pid, signal.SIGSTOP)
        playing.crew.let_pass(seconds)
        for pid in stopped:
            with suppress(ProcessLookupError):
                os.kill(pid, signal.SIGCONT)
        playing.crew.let_pass(0.5)
        playing.told["heard again after [s]"] = round(playing.until_heard("head"), 1)

    return befalls


def pairs_anew(playing: Playing) -> None:
    """Rear's phone, paired as head's by mistake, is paired as what it is after a pull."""
    crew = playing.crew
    page = crew.pages["rear"]
    playing.wait_until(KILL_AT_S)
    page.evaluate("() => byId('leave').click()")
    page.wait_for_url("**/", timeout=PATIENCE_MS)
    expect(page.get_by_label("Your name")).to_be_visible(timeout=PATIENCE_MS)
    page.goto("about:blank")  # what follows a # alone loads no page
    crew.pair_page(page, "rear", "Rowan")
    page.locator("#agree").click()
    playing.told["heard again after [s]"] = round(playing.until_heard("rear"), 1)


THROUGH = Trial("", through=True)
TRIALS = {
    each.name: each
    for each in (
        Trial("day", tuple((line, None) for line in load_day().lines), is_weighed=False),
        Trial("words in the ear", say="all"),
        replace(THROUGH, name="cut 0.2 s", then=cut(0.2)),
        replace(THROUGH, name="cut 2 s", then=cut(2.0)),
        replace(THROUGH, name="cut 20 s", then=cut(20.0)),
        replace(THROUGH, name="5 % lost, 200 ms jitter", then=rough),
        Trial("browser killed", then=kill_browser),
        Trial("logger killed", then=kill_logger),
        Trial("phone and microphone", beside="microphone"),
        Trial("keypad beside", beside="keypad"),
        Trial("keys of the phone", beside="keys"),
        Trial(
            "chief's phone beside",
            ((LINE, STOP_S),),
            then=chief_decides,
            expected=((1, 33.87, "first"),),
        ),
        Trial("page loaded anew", by_clock=True, then=reload_page),
        Trial("phone rings", by_clock=True, then=phone_call),
        Trial("headset pulled out", by_clock=True, then=unplugged),
        Trial("phone stands still 0.4 s", by_clock=True, then=stops(SILENT_AT_S, 0.4)),
        Trial("phone sleeps 30 s", ((LINE, LONG_S),), by_clock=True, then=stops(CHECK_AT_S, 30.0)),
        Trial("both paired as head", by_clock=True, paired_as="head", then=pairs_anew),
        Trial("phones swapped", by_clock=True, swapped_at_s=KILL_AT_S),
    )
}
