"""The machine that the benchmark ran on."""

import datetime
import os
import platform
import re
from pathlib import Path


def named(browser):
    """Description of the machine and browser."""
    return (
        f"{processor()}, {os.cpu_count()} cores, {memory_gb()} GB, {platform.system()}"
        f" {platform.release()}, Chromium {browser}, {datetime.date.today().isoformat()}"
    )


def processor():
    """The processor's name."""
    told = Path("/proc/cpuinfo")
    found = told.exists() and re.search(r"^model name\s*: (.*)", told.read_text(), re.MULTILINE)
    return found[1] if found else platform.processor() or platform.machine()


def memory_gb():
    """The machine's memory. [GB]"""
    try:
        return round(os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30)
    except (ValueError, OSError, AttributeError):
        return "?"
