"""The machine-checkable rules of PDF/UA-1 (ISO 14289-1:2014), as facts.

Clause and number of a rule are those of the profile PDF/UA-1 of veraPDF's validation
profiles (its single-rule files: 106 rules, as of 2025); what is looked at and the words
are this project's. A row: the rule, the kind of thing in Paper.things that it is about,
what must hold, and a test of one thing, true where it holds. None in place of a test
stands for the absence of the thing: papers have none, and with the first one a test is
due. OURS adds rows that the profile does not have, by clause of ISO 32000-1.
"""
import re

from pikepdf import Array, Dictionary, Stream

from fonts import is_space
from paper import STANDARD
from values import listed, name

TAG = re.compile(r"[a-zA-Z]{1,8}(-[a-zA-Z0-9]{1,8})*")
ROWS = ("TR", "THead", "TBody", "TFoot")


def only(*allowed):
    return lambda e, p: all(t in allowed for t in e.types())


def within(*allowed):
    return lambda e, p: e.holder is not None and e.holder.standard in allowed


def captions(*at):
    """A caption stands only at these places among what an element holds."""
    return lambda e, p: all(t != "Caption" or i in at or i - len(e.kids) in at for i, t in enumerate(e.types()))


def at_most(count, kind):
    return lambda e, p: e.types().count(kind) <= count


def needs_body(kind):
    return lambda e, p: kind not in e.types() or "TBody" in e.types()


def says_something(e, p):
    return bool(e.alt) or e.actual is not None


def speaks(what, p):
    """The language of a thing is known: its own, that of what it is in, or the paper's."""
    return p.lang is not None or (what.language() if hasattr(what, "language") else getattr(what, "lang", None)) is not None


def text_speaks(t, p):
    return p.lang is not None or t.mark is not None and t.mark.language() is not None


def has_known_headers(cell, p):
    ids = {e.id for e in p.elements.values() if e.standard == "TH"}
    return all(bytes(h) in ids for h in listed(cell.table("Headers")))


def finds_header(cell, p):
    return bool(listed(cell.table("Headers"))) or not hasattr(cell, "grid") or cell.grid.has_header(cell)


def is_defined(g, p):
    """The font program has the glyph, with ink unless it is a space."""
    f = g.font
    if not g.isShown or f.program is None or f.cid is None:
        return True
    glyph = f.glyph(g.code)
    return f.program.has(glyph) and (not f.program.is_empty(glyph) or is_space(g.unicode))


def has_its_width(g, p):
    f = g.font
    if not g.isShown or f.program is None or f.cid is None or not f.program.has(f.glyph(g.code)):
        return True
    return abs(f.width(g.code) - 1000 * f.program.widths[f.glyph(g.code)] / f.program.units) <= 1


def is_not_notdef(g, p):
    return g.font.cid is None or g.font.program is None or g.font.glyph(g.code) != 0


# The characters of PDF/UA-1, 7.21.7, that no map may give.
NOT_CHARACTERS = ("\0", "\ufeff", "\ufffe")

PROFILE = [
    # What the paper says of itself.
    ("5-1", "metadata", "the metadata hold the identification of PDF/UA", lambda m, p: any(x.what == "part" for x in m.parts)),
    ("5-2", "PDF/UA part", "the part is 1", lambda x, p: x.value == "1"),
    ("5-3", "PDF/UA part", "its prefix is pdfuaid", lambda x, p: x.prefix == "pdfuaid"),
    ("5-4", "PDF/UA amd", "its prefix is pdfuaid", lambda x, p: x.prefix == "pdfuaid"),
    ("5-5", "PDF/UA corr", "its prefix is pdfuaid", lambda x, p: x.prefix == "pdfuaid"),
    ("6.1-1", "file", "the first line is %PDF-1.0 to 1.7", lambda f, p: re.fullmatch(rb"%PDF-1\.[0-7]\r?", f.header) is not None),
    ("6.2-1", "catalog", "MarkInfo says Marked", lambda c, p: c.obj.get("/MarkInfo", Dictionary()).get("/Marked") is True),
    # What is drawn.
    ("7.1-1", "marked part", "no artifact lies in content of the structure", lambda m, p: m.tag != "Artifact" or m.owner() is None),
    ("7.1-2", "marked part", "no content of the structure lies in an artifact", lambda m, p: m.element is None or not m.is_artifact()),
    ("7.1-3", "painted thing", "all that is painted is in the structure or an artifact", lambda t, p: t.mark is not None and (t.mark.owner() is not None or t.mark.is_artifact())),
    ("7.1-4", "catalog", "MarkInfo does not say Suspects", lambda c, p: c.obj.get("/MarkInfo", Dictionary()).get("/Suspects") is not True),
    ("7.1-5", "element", "its type is a standard one or is mapped to one", lambda e, p: e.standard is not None or e.is_circular),
    ("7.1-6", "element", "the map of types does not lead back to its type", lambda e, p: not e.is_circular),
    ("7.1-7", "catalog", "no standard type is mapped to another", lambda c, p: not STANDARD & set(p.roles)),
    ("7.1-8", "catalog", "there are metadata in XML", lambda c, p: p.xmp is not None),
    ("7.1-9", "metadata", "they give a title", lambda m, p: m.title is not None),
    ("7.1-10", "catalog", "a window shows the title", lambda c, p: c.obj.get("/ViewerPreferences", Dictionary()).get("/DisplayDocTitle") is True),
    ("7.1-11", "catalog", "there is a structure", lambda c, p: p.root is not None),
    ("7.1-12", "element", "it says in which element it is", lambda e, p: "/P" in e.obj),
    # Language, tables, lists and contents.
    ("7.2-2", "bookmarks", "their language is known", lambda b, p: p.lang is not None),
    ("7.2-3", "Table", "it holds rows, groups of rows and captions alone", only(*ROWS, "Caption")),
    ("7.2-4", "TR", "it is in a table or a group of rows", within("Table", "THead", "TBody", "TFoot")),
    ("7.2-5", "THead", "it is in a table", within("Table")),
    ("7.2-6", "TBody", "it is in a table", within("Table")),
    ("7.2-7", "TFoot", "it is in a table", within("Table")),
    ("7.2-8", "TH", "it is in a row", within("TR")),
    ("7.2-9", "TD", "it is in a row", within("TR")),
    ("7.2-10", "TR", "it holds cells alone", only("TH", "TD")),
    ("7.2-11", "Table", "at most one head", at_most(1, "THead")),
    ("7.2-12", "Table", "at most one foot", at_most(1, "TFoot")),
    ("7.2-13", "Table", "a foot needs a body", needs_body("TFoot")),
    ("7.2-14", "Table", "a head needs a body", needs_body("THead")),
    ("7.2-15", "Table", "no cells overlap", lambda e, p: not e.grid.overlaps),
    ("7.2-16", "Table", "a caption stands first or last", captions(0, -1)),
    ("7.2-17", "LI", "it is in a list", within("L")),
    ("7.2-18", "LBody", "it is in an item", within("LI")),
    ("7.2-19", "L", "it holds items, lists and captions alone", only("L", "LI", "Caption")),
    ("7.2-20", "LI", "it holds labels and bodies alone", only("Lbl", "LBody")),
    ("7.2-21", "element with ActualText", "its language is known", speaks),
    ("7.2-22", "element with Alt", "its language is known", speaks),
    ("7.2-23", "element with E", "its language is known", speaks),
    ("7.2-24", "annotation", "the language of its contents is known", lambda a, p: a.contents is None or speaks(a, p)),
    ("7.2-25", "form field", "the language of its description is known", lambda f, p: f.field is None or p.lang is not None),
    ("7.2-26", "TOCI", "it is in a table of contents", within("TOC")),
    ("7.2-27", "TOC", "it holds lines, tables of contents and captions alone", only("TOC", "TOCI", "Caption")),
    ("7.2-28", "TOC", "a caption stands first", captions(0)),
    ("7.2-29", "language", "it is the tag of a language", lambda x, p: TAG.fullmatch(x.lang) is not None),
    ("7.2-30", "part Span", "the language of its ActualText is known", lambda m, p: "/ActualText" not in m.props or text_speaks_in(m, p)),
    ("7.2-31", "part Span", "the language of its Alt is known", lambda m, p: "/Alt" not in m.props or text_speaks_in(m, p)),
    ("7.2-32", "part Span", "the language of its E is known", lambda m, p: "/E" not in m.props or text_speaks_in(m, p)),
    ("7.2-33", "text of the metadata", "its language is known", lambda x, p: p.lang is not None),
    ("7.2-34", "shown text", "its language is known", text_speaks),
    ("7.2-36", "THead", "it holds rows alone", only("TR")),
    ("7.2-37", "TBody", "it holds rows alone", only("TR")),
    ("7.2-38", "TFoot", "it holds rows alone", only("TR")),
    ("7.2-39", "Table", "at most one caption", at_most(1, "Caption")),
    ("7.2-40", "L", "a caption stands first", captions(0)),
    ("7.2-41", "Table", "its columns have as many cells as there are rows", lambda e, p: all(h == len(e.grid.rows) for c, h in e.grid.height.items() if c < e.grid.width[0])),
    ("7.2-42", "Table", "no row is longer than the first", lambda e, p: all(w <= e.grid.width[0] for w in e.grid.width)),
    ("7.2-43", "Table", "no row is shorter than the first", lambda e, p: all(w >= e.grid.width[0] for w in e.grid.width)),
    ("7.3-1", "Figure", "a text stands for it", says_something),
    ("7.4.2-1", "Hn", "the first heading is H1, and no level is skipped", lambda e, p: e.level <= e.before + 1),
    ("7.4.4-1", "element", "it holds at most one heading H", at_most(1, "H")),
    ("7.4.4-2", "H", "no numbered heading stands beside it", lambda e, p: not p.uses_numbers),
    ("7.4.4-3", "Hn", "no heading H stands beside it", lambda e, p: not p.uses_h),
    ("7.5-1", "TD", "its headers are named or found by their scope", finds_header),
    ("7.5-2", "TD", "the headers that it names are there", has_known_headers),
    ("7.7-1", "Formula", "a text stands for it", says_something),
    ("7.9-1", "Note", "it has an ID", lambda e, p: bool(e.id)),
    ("7.9-2", "Note", "no other element has its ID", lambda e, p: not e.is_twice),
    # What papers do not have.
    ("7.10-1", "layers", "they have a name", None),
    ("7.10-2", "layers", "they do not switch themselves", None),
    ("7.11-1", "embedded file", "it is named twice, as F and UF", None),
    ("7.15-1", "form", "it is not a dynamic XFA form", None),
    ("7.16-1", "encryption", "it lets assistive programs read", None),
    ("7.18.1-1", "annotation", "it is in an element Annot", lambda a, p: a.subtype in ("Widget", "Popup", "Link") or a.isHidden or a.owner == "Annot"),
    ("7.18.1-2", "annotation", "a text stands for it", lambda a, p: a.owner != "Annot" or a.subtype in ("Widget", "Popup", "Link") or a.isHidden or bool(a.contents) or bool(a.alt)),
    ("7.18.1-3", "annotation Widget", "its field has a description", lambda a, p: a.isHidden or bool(a.field) or bool(a.alt)),
    ("7.18.2-1", "annotation TrapNet", "there is none", lambda a, p: a.isHidden),
    ("7.18.3-1", "page", "with annotations, its order of tabs is the structure's", lambda s, p: not s.annotations or name(s.obj.get("/Tabs")) == "S"),
    ("7.18.4-1", "annotation Widget", "it is in an element Form", lambda a, p: a.isHidden or a.owner == "Form"),
    ("7.18.4-2", "Form", "it holds one field alone", lambda e, p: ("PrintField", "Role") in e.attributes or len(e.references) == 1 and not e.kids and not e.parts),
    ("7.18.5-1", "annotation Link", "it is in an element Link", lambda a, p: a.isHidden or a.owner == "Link"),
    ("7.18.5-2", "annotation Link", "it has Contents", lambda a, p: a.isHidden or bool(a.contents)),
    ("7.18.6.2-1", "media clip", "it has CT", None),
    ("7.18.6.2-2", "media clip", "a text stands for it", None),
    ("7.18.8-1", "annotation PrinterMark", "it is in no element", lambda a, p: a.isHidden or a.owner is None),
    ("7.20-1", "form XObject", "it refers to no other file", None),
    ("7.20-2", "form XObject", "it is drawn once where it holds content of the structure", None),
    # Types. Those of the papers are composite, with codes that are characters.
    ("7.21.3.1-1", "composite font", "its codes are glyphs' numbers, or both say of which set", lambda f, p: name(f.obj.get("/Encoding")) in ("Identity-H", "Identity-V")),
    ("7.21.3.2-1", "composite font", "glyphs are found by a stream or Identity", lambda f, p: isinstance(f.map, bytes) or f.map == "Identity"),
    ("7.21.3.3-1", "composite font", "its map of codes is Identity or embedded", lambda f, p: name(f.obj.get("/Encoding")) in ("Identity-H", "Identity-V") or isinstance(f.obj.get("/Encoding"), Stream)),
    ("7.21.3.3-2", "embedded CMap", "it says one direction of writing", None),
    ("7.21.3.3-3", "embedded CMap", "it refers to no other that is not embedded", None),
    ("7.21.4.1-1", "font", "its program is embedded", lambda f, p: f.subtype == "Type3" or len(f.files) == 1 or all(m == {3} for m in f.codes.values())),
    ("7.21.4.1-2", "glyph", "the program has it", is_defined),
    ("7.21.4.2-1", "Type 1 font", "its list of glyphs is whole", None),
    ("7.21.4.2-2", "CIDSet", "it is whole", None),
    ("7.21.5-1", "glyph", "its width is that of the program", has_its_width),
    ("7.21.6-1", "simple TrueType font", "its program maps characters", None),
    ("7.21.6-2", "simple TrueType font", "its encoding is a known one", None),
    ("7.21.6-3", "simple TrueType font", "with own signs it has no encoding", None),
    ("7.21.6-4", "simple TrueType font", "with own signs its program has one map", None),
    ("7.21.7-1", "glyph", "it has a character", lambda g, p: bool(g.unicode)),
    ("7.21.7-2", "font", "no code is the character 0, FEFF or FFFE", lambda f, p: not any(c in u for u in f.unicode.values() for c in NOT_CHARACTERS)),
    ("7.21.8-1", "glyph", "it is not .notdef", is_not_notdef),
]


def text_speaks_in(m, p):
    return p.lang is not None or m.language() is not None


def holds_back(e, p):
    """The element's P is the one that holds it."""
    up = e.obj.get("/P")
    return up is not None and up.objgen == (e.holder.obj if e.holder is not None else p.root).objgen


def has_its_parts(e, p):
    """Each part of a page that an element holds is there once and leads back to it."""
    return all(len(p.marks(part)) == 1 and p.marks(part)[0].element is e for part in e.parts)


def is_held(m, p):
    return m.id is None or m.element is not None and (m.page.obj.objgen, m.id) in {(g.objgen, n) for g, n in m.element.parts}


def has_parents(s, p):
    """A page's list of parents is its own, and as long as it has parts."""
    number = s.obj.get("/StructParents")
    own = [o for o in p.sheets if o.obj.get("/StructParents") == number]
    parts = [m for number in s.marks if number is not None for m in s.marks[number]]
    return number is not None and len(own) == 1 and isinstance(p.parents.get(int(number)), Array) and len(p.parents[int(number)]) == len(parts)


def agrees(g, p):
    """The character that a code is read as is the one whose glyph is drawn."""
    f = g.font
    if f.program is None or f.cid is None or not g.unicode:
        return True
    return len(g.unicode) == 1 and f.program.characters.get(ord(g.unicode)) == f.glyph(g.code)


def sheets_of(e):
    found = {page.objgen for page, _ in e.parts if page is not None}
    for kid in e.kids:
        found |= sheets_of(kid)
    return found


def says_where(e, p):
    """A table or a figure that lies on one page says where on it."""
    if e.standard not in ("Table", "Figure") or len(sheets_of(e)) != 1:
        return True
    box = [float(v) for v in e.attributes.get(("Layout", "BBox"), [])]
    page = [float(v) for s in p.sheets if s.obj.objgen in sheets_of(e) for v in s.obj.MediaBox]
    return len(box) == 4 and page[0] <= box[0] < box[2] <= page[2] and page[1] <= box[1] < box[3] <= page[3]


SIGNS = ("– ", "· ", "• ", "☐", "☑")


def has_no_sign(e, p):
    """The sign before an item is its label, not the beginning of its body."""
    return not any(m.text.startswith(SIGNS) for part in e.parts[:1] for m in p.marks(part))


def is_tagged(f, p):
    """A font of which a part is embedded bears six letters before its name, everywhere."""
    names = {name(f.obj.get("/BaseFont")), name(f.cid.get("/BaseFont")), name(f.descriptor.get("/FontName"))}
    return len(names) == 1 and re.fullmatch(r"[A-Z]{6}\+.+", str(names.pop())) is not None


HOLDS_NO_TEXT = ("Document", "Sect", "L", "LI", "Table", "TR")

OURS = [
    ("32000-1 14.3.3", "catalog", "the title of the file is that of its metadata", lambda c, p: p.xmp is None or str(p.pdf.docinfo.get("/Title", "")) == p.xmp.title),
    ("32000-1 9.6.4", "composite font", "its name says that a part of it is embedded", is_tagged),
    ("32000-1 9.10.3", "glyph", "a code is read as the character whose glyph is drawn", agrees),
    ("32000-1 12.3.3", "bookmark", "it has a title, leads to a page and is linked with its neighbors", lambda b, p: bool(b.title) and b.isSound),
    ("32000-1 12.3.3 count", "bookmark", "it says how many show below it", lambda b, p: b.isCounted),
    ("32000-1 12.3.3 all", "bookmarks", "they say how many show", lambda b, p: b.isCounted),
    ("32000-1 14.7.2", "element", "it says which element it is in, and is", holds_back),
    ("32000-1 14.7.4.2", "element", "its parts are on the page once and lead back to it", has_its_parts),
    ("32000-1 14.7.4.4", "page", "its list of parents is its own and as long as it has parts", has_parents),
    ("32000-1 14.7.4.4 part", "marked part", "the element that it leads to holds it", is_held),
    ("32000-1 14.8.4.2", "element", "only an element that may hold text holds any", lambda e, p: not e.parts or e.standard not in HOLDS_NO_TEXT),
    ("32000-1 14.8.4.3.3", "LI", "it has one body, after its label", lambda e, p: e.types() in (["LBody"], ["Lbl", "LBody"])),
    ("32000-1 14.8.4.3.3 label", "LBody", "the sign before an item is its label", has_no_sign),
    ("32000-1 14.8.4.3.4", "Table", "it has a row", lambda e, p: len(e.grid.rows) > 0),
    ("32000-1 14.8.5.4.3", "element", "a table or figure on one page says where it lies", says_where),
    ("32000-1 14.8.4.3.4 header", "TH", "it says something", lambda e, p: bool(e.parts or e.kids or e.actual)),
]

# Kinds of things that papers do not have, and why. A paper that has one fails; so does a
# set of all papers that lacks any other kind, since a rule about it would prove nothing.
ABSENT = {
    "PDF/UA amd": "the papers name no amendment",
    "PDF/UA corr": "the papers name no corrigendum",
    "THead": "a table's rows stand in it without groups",
    "TBody": "a table's rows stand in it without groups",
    "TFoot": "a table's rows stand in it without groups",
    "TOC": "bookmarks lead through a paper",
    "TOCI": "bookmarks lead through a paper",
    "H": "headings are numbered",
    "Formula": "no paper has one",
    "Note": "no paper has a footnote",
    "Form": "papers are filled in by pen",
    "element with E": "no paper explains an abbreviation there",
    "part Span": "replacements stand at elements",
    "annotation": "papers have no links, fields or comments",
    "annotation Widget": "papers are filled in by pen",
    "annotation Link": "papers have no links",
    "annotation TrapNet": "no press prepares them",
    "annotation PrinterMark": "no press prepares them",
    "form": "papers are filled in by pen",
    "form field": "papers are filled in by pen",
    "layers": "all that is drawn shows",
    "embedded file": "a paper is one file",
    "encryption": "anybody may read a paper",
    "media clip": "papers are printed",
    "form XObject": "pages draw everything themselves",
    "pattern": "pages draw everything themselves",
    "embedded CMap": "codes are Identity-H",
    "CIDSet": "the library writes none, and none is asked for",
    "simple TrueType font": "fonts are composite",
    "Type 1 font": "fonts are composite",
    "Type 3 font": "fonts are composite",
    "other font": "fonts are composite",
}
