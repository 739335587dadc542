"""A font of a paper: its program, widths and characters, and the codes that are shown in it."""
import struct
import unicodedata
from collections import defaultdict

import pikepdf
from pikepdf import Array, Stream

from values import kept, name


class Program:
    """A TrueType font program: its widths, outlines and table of characters."""

    def __init__(self, data):
        tables = {}
        for i in range(struct.unpack_from(">H", data, 4)[0]):
            tag, _, at, size = struct.unpack_from(">4sIII", data, 12 + 16 * i)
            tables[tag.decode("latin1").strip()] = data[at : at + size]
        self.units = struct.unpack_from(">H", tables["head"], 18)[0]
        wide = struct.unpack_from(">h", tables["head"], 50)[0]
        self.count = struct.unpack_from(">H", tables["maxp"], 4)[0]
        metrics = struct.unpack_from(">H", tables["hhea"], 34)[0]
        self.widths = [struct.unpack_from(">H", tables["hmtx"], 4 * min(g, metrics - 1))[0] for g in range(self.count)]
        form, step = (">I", 1) if wide else (">H", 2)
        size = struct.calcsize(form)
        self.places = [step * struct.unpack_from(form, tables["loca"], size * g)[0] for g in range(self.count + 1)]
        self.outlines = len(tables["glyf"])
        self.characters = {}
        cmap = tables.get("cmap", b"\0\0\0\0")
        for i in range(struct.unpack_from(">H", cmap, 2)[0]):
            at = struct.unpack_from(">I", cmap, 8 + 8 * i)[0]
            if struct.unpack_from(">H", cmap, at)[0] == 4:
                self.segments(cmap, at)

    def segments(self, cmap, at):
        n = struct.unpack_from(">H", cmap, at + 6)[0] // 2
        words = lambda k: struct.unpack_from(f">{n}H", cmap, at + k)
        ends, starts, deltas, offsets = words(14), words(16 + 2 * n), words(16 + 4 * n), words(16 + 6 * n)
        for s in range(n):
            for code in range(starts[s], min(ends[s], 0xFFFE) + 1):
                glyph = code + deltas[s] & 0xFFFF
                if offsets[s]:
                    glyph = struct.unpack_from(">H", cmap, at + 16 + 6 * n + 2 * s + offsets[s] + 2 * (code - starts[s]))[0]
                    glyph = glyph and glyph + deltas[s] & 0xFFFF
                if glyph:
                    self.characters[code] = glyph

    def has(self, glyph):
        return glyph < self.count and self.places[glyph] <= self.places[glyph + 1] <= self.outlines

    def is_empty(self, glyph):
        return self.places[glyph] == self.places[glyph + 1]


def unicodes(data):
    """A ToUnicode map's texts by code. A range whose last byte would run past 255 has no
    defined meaning beyond it (ISO 32000-1, 9.10.3), so what lies there is not mapped."""
    found = {}
    wide = lambda s: s.decode("utf-16-be", "surrogatepass")
    pdf = pikepdf.new()  # must outlast its stream
    for operands, operator in pikepdf.parse_content_stream(Stream(pdf, data)):
        numbers = [bytes(v) if isinstance(v, pikepdf.String) else v for v in operands]
        if str(operator) == "endbfchar":
            for code, to in zip(numbers[::2], numbers[1::2]):
                found[int.from_bytes(code, "big")] = wide(to)
        elif str(operator) == "endbfrange":
            for first, last, to in zip(numbers[::3], numbers[1::3], numbers[2::3]):
                low, high = int.from_bytes(first, "big"), int.from_bytes(last, "big")
                if isinstance(to, Array):
                    for i, one in enumerate(to):
                        found[low + i] = wide(bytes(one))
                    continue
                for code in range(low, min(high, low + 255 - to[-1]) + 1):
                    found[code] = wide(to[:-1] + bytes([to[-1] + code - low]))
    return found


class Font:
    """A font of a page, with the codes that text shows in it."""

    def __init__(self, label, obj):
        self.label, self.obj = label, obj
        self.codes = defaultdict(set)  # the modes of rendering by code
        self.subtype = name(obj.get("/Subtype"))
        self.where = f"font {label}"
        self.cid = obj.get("/DescendantFonts")[0] if self.subtype == "Type0" else None
        self.descriptor = (self.cid if self.cid is not None else obj).get("/FontDescriptor")
        descriptor = self.descriptor if self.descriptor is not None else {}
        files = [descriptor.get(k) for k in ("/FontFile", "/FontFile2", "/FontFile3")]
        self.files = [f for f in files if f is not None]
        self.program = kept(Program, descriptor["/FontFile2"].read_bytes()) if "/FontFile2" in descriptor else None
        self.unicode = kept(unicodes, obj["/ToUnicode"].read_bytes()) if "/ToUnicode" in obj else {}
        self.map, self.widths = None, {}
        if self.cid is not None:
            to = self.cid.get("/CIDToGIDMap")
            self.map = to.read_bytes() if isinstance(to, Stream) else name(to)
            items = list(self.cid.get("/W", []))
            while items:
                first = int(items.pop(0))
                if isinstance(items[0], Array):
                    self.widths.update((first + i, w) for i, w in enumerate(items.pop(0)))
                else:
                    last, w = int(items.pop(0)), items.pop(0)
                    self.widths.update((c, w) for c in range(first, last + 1))

    def show(self, data, mode):
        """Takes note of what is shown, and gives it as it is read."""
        codes = [high << 8 | low for high, low in zip(data[::2], data[1::2])] if self.subtype == "Type0" else data
        for code in codes:
            self.codes[code].add(mode)
        return "".join(self.unicode.get(code, "") for code in codes)

    def glyph(self, code):
        if isinstance(self.map, bytes):
            return int.from_bytes(self.map[2 * code : 2 * code + 2], "big")
        return code if self.map == "Identity" else 0

    def width(self, code):
        return float(self.widths.get(code, self.cid.get("/DW", 1000)))


def is_space(u):
    return u is not None and all(unicodedata.category(c) in ("Zs", "Cc") for c in u)
