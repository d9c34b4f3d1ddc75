"""How much a pack, or a workbook, may hold (counted while it is read), and what is few files."""

import zipfile
import zlib

MAX_MEMBERS = 200  # files in one
MAX_MEMBER = 5 * 2**20  # bytes of one file, expanded
MAX_TOTAL = 20 * 2**20  # bytes of all files, expanded
MAX_RATIO = 100  # times that a file may grow when it is expanded
MAX_FILE = 24 * 2**20  # bytes of the zip itself

FEW_FILES = 48  # up to so many, starting worker processes takes longer than it saves (`folder`)

BROKEN_ZIP = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    NotImplementedError,
    RuntimeError,
    ValueError,
    OSError,
)  # what reading a damaged archive raises
