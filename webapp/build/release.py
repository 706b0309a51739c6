"""The site as one archive for distribution, with its sum; reproducible from the same files."""

import gzip
import io
import tarfile

from pennyflat import __version__
from webapp.build import assemble
from webapp.build.environment import ROOT
from webapp.build.say import say

FOLDER = ROOT / "release"
NAME = f"pennyflat-{__version__}"
DAY = 946_684_800  # of everything in an archive: 1 January 2000 [seconds since 1970]


def make():
    """Put the built site into release/, which then holds only the archive and its sum."""
    data = archive(assemble.files_in(assemble.SITE))
    assemble.write({f"{NAME}.tar.gz": data}, FOLDER)
    say(f"release/ holds {NAME}.tar.gz, {len(data) / 1e6:.1f} MB, and its sum.")


def archive(files):
    """Files in a folder of the release's name, as a compressed archive: bytes."""
    out = io.BytesIO()
    with tarfile.open(fileobj=out, mode="w", format=tarfile.USTAR_FORMAT) as tar:
        for name in sorted(files):
            entry = tarfile.TarInfo(f"{NAME}/{name}")
            entry.size, entry.mtime = len(files[name]), DAY
            tar.addfile(entry, io.BytesIO(files[name]))
    return gzip.compress(out.getvalue(), 9, mtime=0)
