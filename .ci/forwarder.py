"""Writes a Windows library (PE, 64 bits) without code that hands one function on to
another library:
    forwarder.py FILE.dll FUNCTION LIBRARY.FUNCTION
.ci/wine uses it where Wine lacks bcryptprimitives.dll, which programs of Go ask for random
bytes. Source: Microsoft, "PE Format" (the export directory, forwarder RVA)."""
import os, struct, sys

file, function, to = sys.argv[1:]
base, page = 0x1000, 0x200
name = os.path.basename(file).encode() + b"\0"
exported, target = function.encode() + b"\0", to.encode() + b"\0"
at = base + 40 + 4 + 4 + 2  # behind the directory, one address, one name, one ordinal
names = [at, at + len(name), at + len(name) + len(exported)]
section = struct.pack("<IIHHIIIIIII", 0, 0, 0, 0, names[0], 1, 1, 1, base + 40, base + 44, base + 48)
section += struct.pack("<IIH", names[2], names[1], 0) + name + exported + target
raw = section.ljust((len(section) + page - 1) // page * page, b"\0")
dos = b"MZ".ljust(60, b"\0") + struct.pack("<I", 64)
coff = struct.pack("<HHIIIHH", 0x8664, 1, 0, 0, 0, 240, 0x2022)  # executable, large addresses, a library
optional = struct.pack("<HBBIIIII", 0x20B, 1, 0, 0, len(raw), 0, 0, base)
optional += struct.pack("<QIIHHHHHHIIIIHH", 0x180000000, 0x1000, page, 6, 0, 0, 0, 6, 0, 0, 0x2000, page, 0, 3, 0x100)
optional += struct.pack("<QQQQII", 0x100000, 0x1000, 0x100000, 0x1000, 0, 16)
optional += struct.pack("<II", base, len(section)) + b"\0" * 8 * 15
header = struct.pack("<8sIIIIIIHHI", b".edata", len(section), base, len(raw), page, 0, 0, 0, 0, 0x40000040)
with open(file, "wb") as out:
    out.write((dos + b"PE\0\0" + coff + optional + header).ljust(page, b"\0") + raw)
