"""The machine that the benchmark ran on."""

import datetime
import os
import platform
from pathlib import Path


def named(browser):
    """Description of the machine and browser."""
    return (
        f"{processor()}, {os.cpu_count()} cores, {memory_gb()} GB, {platform.system()}"
        f" {platform.release()}, Chromium {browser}, {datetime.date.today().isoformat()}"
    )


def processor():
    """The processor's name."""
    try:
        lines = Path("/proc/cpuinfo").read_text().splitlines()
        return next(line.split(": ", 1)[1] for line in lines if line.startswith("model name"))
    except (OSError, StopIteration):
        return platform.processor() or platform.machine()


def memory_gb():
    """The machine's memory. [GB]"""
    try:
        return round(os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30)
    except (ValueError, OSError, AttributeError):
        return "?"
