"""Reads a PDF with pikepdf (qpdf) into the things that rules of PDF/UA-1 are about.

Paper.things holds, by kind, what a rule looks at: elements of the structure by their
type, marked parts of pages, what is painted, glyphs, fonts, bookmarks and so on. Each
thing says with `where` how a person finds it.
"""
import io
import xml.etree.ElementTree as ET
from collections import defaultdict
from types import SimpleNamespace

import pikepdf
from pikepdf import Array, Dictionary, Name, Object, Stream

from fonts import Font
from values import kept, key, listed, name, text

# ISO 32000-1, 14.8.4: the standard structure types.
STANDARD = set(
    "Document Part Art Sect Div BlockQuote Caption TOC TOCI Index NonStruct Private "
    "P H H1 H2 H3 H4 H5 H6 L LI Lbl LBody Table TR TH TD THead TBody TFoot "
    "Span Quote Note Reference BibEntry Code Link Annot Ruby RB RT RP Warichu WT WP "
    "Figure Formula Form".split()
)
HEADINGS = ("H1", "H2", "H3", "H4", "H5", "H6")
# ISO 32000-1, tables 51, 59, 74 and 87: what paints paths, text, shadings and images.
PAINTS = set("S s f F f* B B* b b* sh Do Tj TJ ' \"".split()) | {"INLINE IMAGE"}
SHOWS = {"Tj", "TJ", "'", '"'}

XML = "{http://www.w3.org/XML/1998/namespace}"
RDF = "{http://www.w3.org/1999/02/22-rdf-syntax-ns#}"
DC = "{http://purl.org/dc/elements/1.1/}"
UA = "{http://www.aiim.org/pdfua/ns/id/}"


def number_tree(node, found=None):
    """The entries of a number tree (ISO 32000-1, 7.9.7)."""
    found = [] if found is None else found
    if node is not None:
        nums = list(node.get("/Nums", []))
        found += zip(nums[::2], nums[1::2])
        for kid in node.get("/Kids", []):
            number_tree(kid, found)
    return found


def dictionaries(values):
    """All dictionaries and streams among objects and in them."""
    for v in values:
        if isinstance(v, (Dictionary, Stream)):
            yield v
            yield from dictionaries(inner for _, inner in v.items() if isinstance(inner, Object) and not inner.is_indirect)
        elif isinstance(v, Array):
            yield from dictionaries(inner for inner in v if isinstance(inner, Object) and not inner.is_indirect)


class Element:
    """An element of the structure."""

    def __init__(self, obj, holder, roles):
        self.obj, self.holder = obj, holder
        self.type = name(obj.get("/S"))
        self.standard, self.is_circular = self.type, False
        seen = set()
        while self.standard not in STANDARD and self.standard in roles:
            if self.standard in seen:
                self.is_circular = True
                self.standard = None
                break
            seen.add(self.standard)
            self.standard = roles[self.standard]
        if self.standard not in STANDARD:
            self.standard = None
        self.kids, self.parts, self.references = [], [], []
        self.alt, self.actual, self.expansion = (text(obj.get(k)) for k in ("/Alt", "/ActualText", "/E"))
        self.lang = text(obj.get("/Lang"))
        self.id = bytes(obj.get("/ID")) if obj.get("/ID") is not None else None
        self.attributes = {}
        for a in listed(obj.get("/A")):
            if isinstance(a, Dictionary):
                for k, v in a.items():
                    self.attributes[name(a.get("/O")), k[1:]] = v

    def types(self):
        return [kid.standard for kid in self.kids]

    def table(self, what):
        return self.attributes.get(("Table", what))

    def span(self, what):
        v = self.table(what)
        return int(v) if v is not None else 1

    def language(self):
        e = self
        while e is not None and e.lang is None:
            e = e.holder
        return e.lang if e is not None else None

    @property
    def where(self):
        return f"{self.type} {self.obj.objgen[0]}"


class Grid:
    """A table's cells by row and column, spans counted."""

    def __init__(self, table):
        self.rows = []
        for kid in table.kids:
            self.rows += [kid] if kid.standard == "TR" else [k for k in kid.kids if k.standard == "TR"]
        self.at, self.overlaps, self.width = {}, [], []
        for r, row in enumerate(self.rows):
            c = 0
            for cell in row.kids:
                while (r, c) in self.at:
                    c += 1
                for i in range(cell.span("RowSpan")):
                    for j in range(cell.span("ColSpan")):
                        if (r + i, c + j) in self.at:
                            self.overlaps.append(cell)
                        self.at[r + i, c + j] = cell
                cell.grid, cell.place = self, (r, c)
                c += cell.span("ColSpan")
        for r in range(len(self.rows)):
            self.width.append(sum(1 for at in self.at if at[0] == r))
        self.height = defaultdict(int)
        for r, c in self.at:
            self.height[c] += 1

    def has_header(self, cell):
        """Whether a header is found above or left of a cell (ISO 32000-2, 14.8.4.8.3)."""
        r, c = cell.place
        above = [self.at.get((i, c)) for i in range(r)]
        left = [self.at.get((r, j)) for j in range(c)]
        return any(h and h.standard == "TH" and name(h.table("Scope")) in ("Column", "Both") for h in above) or any(
            h and h.standard == "TH" and name(h.table("Scope")) in ("Row", "Both") for h in left
        )


class Mark:
    """A marked part of a page."""

    def __init__(self, page, holder, tag, props):
        self.page, self.holder, self.tag, self.props = page, holder, tag, props
        self.id = props.get("/MCID")
        self.id = int(self.id) if self.id is not None else None
        self.element, self.text = None, ""

    def up(self):
        m = self.holder
        while m is not None:
            yield m
            m = m.holder

    def owner(self):
        """The element of the part, or of the nearest one around it."""
        m = self
        while m is not None and m.element is None:
            m = m.holder
        return m.element if m is not None else None

    def is_artifact(self):
        return self.tag == "Artifact" or any(m.tag == "Artifact" for m in self.up())

    def language(self):
        for m in [self, *self.up()]:
            if "/Lang" in m.props:
                return str(m.props["/Lang"])
        e = self.owner()
        return e.language() if e is not None else None

    @property
    def where(self):
        return f"page {self.page.number}, part {self.tag} {'' if self.id is None else self.id}".strip()


# Operators whose operands are looked at; those of lines and areas are many.
READ = {"BDC", "BMC", "Tf", "Tr"} | SHOWS
FOUND = READ | PAINTS | {"EMC", "q", "Q", "BI", "ID", "EI"}


def instructions(data):
    """What a page's contents say of marks, types and painting, by operator."""
    found = []
    pdf = pikepdf.new()  # must outlast its stream
    for operands, operator in pikepdf.parse_content_stream(Stream(pdf, data), " ".join(FOUND)):
        operator = str(operator)
        found.append((list(operands) if operator in READ else (), operator))
    return found


class Paper:
    def __init__(self, data):
        self.raw = data
        self.pdf = pikepdf.open(io.BytesIO(data))
        self.catalog = self.pdf.Root
        self.lang = text(self.catalog.get("/Lang"))
        self.things = defaultdict(list)
        self.add("file", SimpleNamespace(where="file", header=data.split(b"\n", 1)[0]))
        self.add("catalog", SimpleNamespace(where="catalog", obj=self.catalog))
        if self.lang is not None:
            self.add("language", SimpleNamespace(where="catalog", lang=self.lang))
        self.metadata()
        self.structure()
        self.pages()
        self.bookmarks()
        self.others()

    def add(self, kind, thing):
        self.things[kind].append(thing)

    # The metadata in XML.
    def metadata(self):
        self.xmp = None
        stream = self.catalog.get("/Metadata")
        if not isinstance(stream, Stream):
            return
        prefixes = {}
        self.xmp = SimpleNamespace(where="metadata", title=None, parts=[])
        for event, e in ET.iterparse(io.BytesIO(stream.read_bytes()), events=("start-ns", "start", "end")):
            if event == "start-ns":
                prefixes[e[1]] = e[0]
                continue
            if event == "start":
                for k, v in e.attrib.items():
                    if k.startswith(UA):
                        self.identify(k, v, prefixes)
            elif e.tag.startswith(UA):
                self.identify(e.tag, e.text, prefixes)
            elif e.tag == DC + "title":
                texts = ["".join(li.itertext()) for li in e.iter(RDF + "li")]
                self.xmp.title = " ".join(texts).strip() or None
            elif e.tag == RDF + "Alt":
                if any(li.get(XML + "lang") == "x-default" for li in e.iter(RDF + "li")):
                    self.add("text of the metadata", SimpleNamespace(where="metadata"))
        self.add("metadata", self.xmp)

    def identify(self, tag, value, prefixes):
        part = SimpleNamespace(where=f"metadata {tag}", what=tag[len(UA) :], value=(value or "").strip(), prefix=prefixes.get(UA[1:-1]))
        self.xmp.parts.append(part)
        self.add(f"PDF/UA {part.what}", part)

    # The structure.
    def structure(self):
        self.root = self.catalog.get("/StructTreeRoot")
        self.elements, self.parents = {}, {}
        self.roles = {}
        if self.root is None:
            return
        self.roles = {k[1:]: name(v) for k, v in self.root.get("/RoleMap", Dictionary()).items()}
        for number, value in number_tree(self.root.get("/ParentTree")):
            self.parents[int(number)] = value
        for kid in listed(self.root.get("/K")):
            self.element(kid, None)
        previous = 0
        self.uses_h = any(e.standard == "H" for e in self.elements.values())
        self.uses_numbers = any(e.standard in HEADINGS for e in self.elements.values())
        ids = [e.id for e in self.elements.values() if e.id is not None]
        for e in self.elements.values():
            if e.standard == "Table":
                e.grid = Grid(e)
            if e.standard in HEADINGS:
                e.level, e.before = int(e.standard[1]), previous
                previous = e.level
                self.add("Hn", e)
            if e.lang is not None:
                self.add("language", e)
            e.is_twice = ids.count(e.id) > 1
            for k, v in (("Alt", e.alt), ("ActualText", e.actual), ("E", e.expansion)):
                if v is not None:
                    self.add(f"element with {k}", e)
            self.add("element", e)
            if e.standard is not None and e.standard not in HEADINGS:
                self.add(e.standard, e)

    def element(self, obj, holder, page=None):
        if key(obj) in self.elements:
            return
        e = self.elements[key(obj)] = Element(obj, holder, self.roles)
        page = obj.get("/Pg", page)
        for kid in listed(obj.get("/K")):
            if isinstance(kid, int):
                e.parts.append((page, kid))
            elif name(kid.get("/Type")) == "MCR":
                e.parts.append((kid.get("/Pg", page), int(kid["/MCID"])))
            elif name(kid.get("/Type")) == "OBJR":
                e.references.append(kid["/Obj"])
            else:
                self.element(kid, e, page)
                if self.elements[key(kid)].holder is e:
                    e.kids.append(self.elements[key(kid)])

    def marks(self, part):
        """The marked parts of a page under the number that an element holds: one, if all is
        well."""
        page, number = part
        sheet = self.sheet.get(page.objgen) if page is not None else None
        return sheet.marks[number] if sheet is not None else []

    # The pages, what is on them and in which type.
    def pages(self):
        self.fonts = {}
        self.sheets, self.sheet = [], {}
        for i, page in enumerate(self.pdf.pages):
            sheet = SimpleNamespace(number=i + 1, obj=page.obj, marks=defaultdict(list), where=f"page {i + 1}")
            sheet.annotations = list(page.obj.get("/Annots", []))
            self.sheets.append(sheet)
            self.sheet[page.obj.objgen] = sheet
            self.add("page", sheet)
            for annotation in sheet.annotations:
                self.annotation(sheet, annotation)
            self.contents(sheet, page)
        for font in self.fonts.values():
            if font.codes:
                self.font(font)

    def contents(self, sheet, page):
        data = b"\n".join(s.read_bytes() for s in listed(page.obj.get("/Contents")))
        resources = page.obj.get("/Resources", Dictionary())
        owners = self.parents.get(int(page.obj.get("/StructParents", -1)), [])
        mark, font, mode, saved = None, None, 0, []
        for operands, operator in kept(instructions, data):
            if operator in ("BDC", "BMC"):
                props = operands[1] if operator == "BDC" else {}
                if isinstance(props, Name):
                    props = resources["/Properties"][str(props)]
                mark = Mark(sheet, mark, name(operands[0]), props)
                if mark.id is not None and isinstance(owners, Array) and mark.id < len(owners):
                    mark.element = self.elements.get(key(owners[mark.id]))
                sheet.marks[mark.id].append(mark)
                self.add("marked part", mark)
                if mark.tag == "Span":
                    self.add("part Span", mark)
                if "/Lang" in props:
                    self.add("language", SimpleNamespace(where=mark.where, lang=str(props["/Lang"])))
            elif operator == "EMC":
                mark = mark.holder if mark is not None else None
            elif operator == "q":
                saved.append((font, mode))
            elif operator == "Q" and saved:
                font, mode = saved.pop()
            elif operator == "Tf":
                obj = resources["/Font"][str(operands[0])]
                if key(obj) not in self.fonts:
                    self.fonts[key(obj)] = Font(str(operands[0]), obj)
                font = self.fonts[key(obj)]
            elif operator == "Tr":
                mode = int(operands[0])
            elif operator in PAINTS:
                thing = SimpleNamespace(mark=mark, where=f"page {sheet.number}, {operator}")
                self.add("painted thing", thing)
                if operator in SHOWS:
                    self.add("shown text", thing)
                    strings = [s for v in operands for s in listed(v) if isinstance(s, pikepdf.String)]
                    for s in strings:
                        said = font.show(bytes(s), mode)
                        if mark is not None:
                            mark.text += said

    def font(self, font):
        self.add("font", font)
        kind = {"Type0": "composite font", "TrueType": "simple TrueType font", "Type1": "Type 1 font", "Type3": "Type 3 font"}
        self.add(kind.get(font.subtype, "other font"), font)
        if font.cid is not None and "/CIDSet" in (font.descriptor or {}):
            self.add("CIDSet", font)
        if isinstance(font.obj.get("/Encoding"), Stream):
            self.add("embedded CMap", font)
        for code, modes in font.codes.items():
            u = font.unicode.get(code)
            self.add("glyph", SimpleNamespace(font=font, code=code, unicode=u, isShown=modes != {3}, where=f"{font.where}, code {code:04X}"))

    def annotation(self, sheet, obj):
        owner = self.parents.get(int(obj.get("/StructParent", -1)))
        owner = self.elements.get(key(owner)) if isinstance(owner, Dictionary) else None
        box = [float(v) for v in sheet.obj.get("/CropBox", sheet.obj.get("/MediaBox", [0, 0, 612, 792]))]
        rect = [float(v) for v in obj.get("/Rect", [0, 0, 0, 0])]
        isOutside = rect[2] <= box[0] or rect[0] >= box[2] or rect[3] <= box[1] or rect[1] >= box[3]
        a = SimpleNamespace(
            obj=obj,
            subtype=name(obj.get("/Subtype")),
            contents=text(obj.get("/Contents")),
            owner=owner.standard if owner is not None else None,
            alt=owner.alt if owner is not None else None,
            field=text(obj.get("/TU")),
            lang=owner.language() if owner is not None else None,
            isHidden=isOutside or bool(int(obj.get("/F", 0)) & 2),
        )
        a.where = f"page {sheet.number}, annotation {a.subtype}"
        self.add("annotation", a)
        self.add(f"annotation {a.subtype}", a)

    def bookmarks(self):
        outlines = self.catalog.get("/Outlines")
        if outlines is None:
            return
        pages = {p.obj.objgen for p in self.pdf.pages}
        root = SimpleNamespace(where="bookmarks")
        self.add("bookmarks", root)

        def read(holder):
            """Gives the bookmarks of one, and how many show below it when it is open."""
            at, before, shown = holder.get("/First"), None, 0
            while at is not None and shown < 100000:
                to = at.get("/Dest")
                mark = SimpleNamespace(where=f"bookmark {text(at.get('/Title'))!r}", title=text(at.get("/Title")))
                mark.isSound = (
                    isinstance(to, Array)
                    and to[0].objgen in pages
                    and at.get("/Parent") == holder
                    and (at.get("/Prev") == before if before is not None else "/Prev" not in at)
                )
                self.add("bookmark", mark)
                below = read(at)
                mark.isCounted = abs(int(at.get("/Count", 0))) == below
                shown += 1 + (below if int(at.get("/Count", 0)) > 0 else 0)
                before, at = at, at.get("/Next")
            if before is not None and holder.get("/Last") != before:
                self.things["bookmark"][-1].isSound = False
            return shown

        root.isCounted = int(outlines.get("/Count", 0)) == read(outlines)

    # Objects that are found wherever they are.
    def others(self):
        if "/Encrypt" in self.pdf.trailer:
            self.add("encryption", SimpleNamespace(where="trailer", obj=self.pdf.trailer["/Encrypt"]))
        form = self.catalog.get("/AcroForm")
        if form is not None:
            self.add("form", SimpleNamespace(where="AcroForm", obj=form))
        properties = self.catalog.get("/OCProperties")
        if properties is not None:
            for d in [*listed(properties.get("/D")), *listed(properties.get("/Configs"))]:
                self.add("layers", SimpleNamespace(where="OCProperties", obj=d))
        for obj in dictionaries(self.pdf.objects):
            thing = SimpleNamespace(where=f"object {obj.objgen[0]}", obj=obj)
            if "/EF" in obj:
                self.add("embedded file", thing)
            if name(obj.get("/S")) == "MCD":
                self.add("media clip", thing)
            if "/FT" in obj:
                thing.field = text(obj.get("/TU"))
                self.add("form field", thing)
            if isinstance(obj, Stream) and name(obj.get("/Subtype")) == "Form":
                self.add("form XObject", thing)
            if isinstance(obj, Stream) and int(obj.get("/PatternType", 0)) == 1:
                self.add("pattern", thing)
