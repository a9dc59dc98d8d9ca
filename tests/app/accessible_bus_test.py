"""Reads the window of tallyframe over AT-SPI, as a screen reader does, and fails where a name is missing."""
import subprocess
import sys
import time

import pyatspi
from pyatspi import Registry as bus


def window():
    for _ in range(120):
        for program in bus.getDesktop(0):
            if program and "tallyframe" in (program.name or "").lower() and program.childCount:
                return program
        time.sleep(0.25)
    sys.exit("tallyframe isn't on the bus")


def showing(thing):
    """Everything on screen that takes the keyboard, in the order of the tree."""
    for child in thing:
        if child and child.getState().contains(pyatspi.STATE_SHOWING):
            if child.getState().contains(pyatspi.STATE_FOCUSABLE):
                yield child
            yield from showing(child)


def focused():
    """Where the keyboard is. Qt calls the current item of every list focused, so only what isn't in a list counts."""
    return [thing for thing in showing(program)
            if thing.getState().contains(pyatspi.STATE_FOCUSED) and thing.getRole() != pyatspi.ROLE_LIST_ITEM]


def keys(*given):
    subprocess.run(["xdotool", *given], check=True)
    time.sleep(0.3)


program = window()
keys("search", "--sync", "--onlyvisible", "--name", "Tallyframe", "windowfocus", "--sync")
tabs = 12
for page in range(1, 6):
    keys("key", f"ctrl+{page}")
    time.sleep(1)
    things = list(showing(program))
    nameless = [thing.getRoleName() for thing in things if not thing.name]
    if len(things) < 10 or nameless:
        sys.exit(f"page {page}: {len(things)} things take the keyboard, without a name: {nameless}")
    reached = set()
    for _ in range(tabs):
        keys("key", "Tab")
        now = [(thing.getRoleName(), thing.name) for thing in focused()]
        if len(now) > 1 or any(not name for _, name in now):
            sys.exit(f"page {page}: Tab leads to {now}")
        reached.update(now)
    if len(reached) < 5:
        sys.exit(f"page {page}: {tabs} times Tab led to {reached} only")
    print(f"page {page}: {len(things)} things with names, Tab led to {len(reached)} of them")
