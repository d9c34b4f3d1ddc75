"""How much a pack, or a workbook, may hold; counted while it is read."""

import zipfile
import zlib

MAX_MEMBERS = 200
MAX_MEMBER = 5 * 2**20
MAX_TOTAL = 20 * 2**20
MAX_RATIO = 100
MAX_FILE = 24 * 2**20

FEW_FILES = 48  # up to so many, starting worker processes takes longer than it saves

BROKEN_ZIP = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    NotImplementedError,
    RuntimeError,
    ValueError,
    OSError,
)  # what reading a damaged archive raises
