"""Damages a paper against each rule, so that the check is seen to name it.

DAMAGES holds pairs of a rule and what is done to a paper: it changes the paper in hand,
or gives the bytes of another one.
"""
import io

import pikepdf
from pikepdf import Array, Dictionary, Name, Stream, String

from paper import Paper, number_tree
from values import listed, name


def elements(pdf, kind):
    return [o for o in pdf.objects if isinstance(o, Dictionary) and name(o.get("/S")) == kind and "/P" in o]


def first(pdf, kind):
    return elements(pdf, kind)[0]


def insert(holder, what, at=None):
    """Puts an element or a part into an element, last where no place is given."""
    all = listed(holder.get("/K"))
    all.insert(len(all) if at is None else at, what)
    holder.K = Array(all)


def new(pdf, holder, kind, at=None, **entries):
    """A new element in another one."""
    e = pdf.make_indirect(Dictionary(S=Name("/" + kind), P=holder, K=Array(), **entries))
    insert(holder, e, at)
    return e


def move(pdf, e, holder):
    """Puts an element into another one."""
    e.P.K = Array([k for k in listed(e.P.K) if not (isinstance(k, Dictionary) and k.objgen == e.objgen)])
    insert(holder, e)
    e.P = holder


def document(pdf):
    return first(pdf, "Document")


def contents(pdf, change):
    page = pdf.pages[0].obj
    page.Contents = Stream(pdf, change(page.Contents.read_bytes()))


def at(before, after):
    """Puts bytes in place of others, which must be there."""

    def change(data):
        if before not in data:
            raise ValueError(f"{before!r} is not in the contents")
        return data.replace(before, after, 1)

    return lambda pdf: contents(pdf, change)


def metadata(before, after):
    def change(pdf):
        data = pdf.Root.Metadata.read_bytes()
        if before not in data:
            raise ValueError(f"{before!r} is not in the metadata")
        pdf.Root.Metadata = Stream(pdf, data.replace(before, after))

    return change


def entry(where, what, value):
    def change(pdf):
        pdf.Root[where][what] = value

    return change


def without(*keys):
    def change(pdf):
        for k in keys:
            del pdf.Root[k]

    return change


def kind(old, to):
    """Calls an element another type."""

    def change(pdf):
        first(pdf, old).S = Name("/" + to)

    return change


def roles(**to):
    def change(pdf):
        pdf.Root.StructTreeRoot.RoleMap = Dictionary({"/" + k: Name("/" + v) for k, v in to.items()})
        first(pdf, "P").S = Name("/Own")

    return change


def put(holder, kind, **entries):
    """Puts a new element into one of a type."""
    return lambda pdf: new(pdf, first(pdf, holder), kind, **entries)


def moved(kind, holder):
    return lambda pdf: move(pdf, first(pdf, kind), first(pdf, holder))


def both(*changes):
    def change(pdf):
        for c in changes:
            c(pdf)

    return change


def groups(*kinds):
    """Puts new groups of rows into a table, and its rows into the first."""

    def change(pdf):
        table = first(pdf, "Table")
        rows = list(table.K)
        made = [new(pdf, table, k) for k in kinds]
        for row in rows:
            move(pdf, row, made[0])

    return change


def shorter(pdf):
    row = elements(pdf, "TR")[-1]
    row.K = Array(list(row.K)[:-1])


def spanned(what, row, count):
    def change(pdf):
        cell = elements(pdf, "TR")[row].K[0]
        cell.A = Dictionary({"/O": Name.Table, what: count})

    return change


def annotated(subtype, owner=None, **entries):
    """Puts an annotation on the page, in an element of a type."""

    def change(pdf):
        page = pdf.pages[0].obj
        a = pdf.make_indirect(Dictionary(Type=Name.Annot, Subtype=Name("/" + subtype), Rect=Array([10, 10, 50, 50]), **entries))
        page.Annots = Array([a])
        if owner is not None:
            a.StructParent = 1000
            e = new(pdf, document(pdf), owner)
            e.K = Dictionary(Type=Name.OBJR, Obj=a, Pg=page)
            pdf.Root.StructTreeRoot.ParentTree.Nums.extend([1000, e])

    return change


def no_tabs(pdf):
    annotated("Link", "Link", Contents=String("x"))(pdf)
    del pdf.pages[0].obj.Tabs


def loose(**entries):
    """An object that nothing leads to but a private entry of the catalog."""

    def change(pdf):
        pdf.Root.PieceInfo = pdf.make_indirect(Dictionary(**entries))

    return change


def form(**entries):
    def change(pdf):
        x = pdf.make_indirect(Stream(pdf, b"0 0 m 1 1 l S"))
        x.Type, x.Subtype, x.BBox = Name.XObject, Name.Form, Array([0, 0, 1, 1])
        for k, v in entries.items():
            x["/" + k] = v
        pdf.pages[0].obj.Resources.XObject = Dictionary(X=x)
        at(b"/Artifact BMC", b"/Artifact BMC /X Do /X Do ")(pdf)

    return change


def fonts(pdf):
    return [f for _, f in pdf.pages[0].obj.Resources.Font.items()]


def font(what, value=None):
    """Changes an entry of each font, its descendant or its descriptor."""

    def change(pdf):
        for f in fonts(pdf):
            for d in (f, f.DescendantFonts[0], f.DescendantFonts[0].FontDescriptor):
                if what in d and value is None:
                    del d[what]
                elif what in d:
                    d[what] = value(pdf) if callable(value) else value

    return change


def glyph(code, to):
    """Leads a code to another glyph, or to that of another code."""

    def change(pdf):
        for f in fonts(pdf):
            map = f.DescendantFonts[0].CIDToGIDMap
            data = bytearray(map.read_bytes())
            g = to.to_bytes(2, "big") if isinstance(to, int) else data[2 * ord(to) : 2 * ord(to) + 2]
            data[2 * ord(code) : 2 * ord(code) + 2] = g
            f.DescendantFonts[0].CIDToGIDMap = Stream(pdf, bytes(data))

    return change


def unicode(line):
    """Puts one line of a map of characters in place of all."""

    def change(pdf):
        for f in fonts(pdf):
            f.ToUnicode = Stream(pdf, b"begincmap\n1 begincodespacerange <0000> <FFFF> endcodespacerange\n" + line + b"\nendcmap")

    return change


def simple(**entries):
    """Shows text in a font of another kind."""

    def change(pdf):
        f = Dictionary(Type=Name.Font, BaseFont=Name.Own, FontDescriptor=Dictionary(FontFile2=fonts(pdf)[0].DescendantFonts[0].FontDescriptor.FontFile2))
        for k, v in entries.items():
            f["/" + k] = v
        pdf.pages[0].obj.Resources.Font["/Own"] = pdf.make_indirect(f)
        at(b"/P <</MCID 2>> BDC", b"/P <</MCID 2>> BDC BT /Own 9 Tf (a) Tj ET")(pdf)

    return change


def saved(**options):
    def change(pdf):
        out = io.BytesIO()
        pdf.save(out, **options)
        return out.getvalue()

    return change


def header(pdf):
    return b"%PDF-2.0" + saved()(pdf)[8:]


def own_tree(change):
    """Changes the list of the first page's parents."""

    def do(pdf):
        tree = pdf.Root.StructTreeRoot.ParentTree
        numbers = [(n, v) for n, v in number_tree(tree)]
        numbers[0] = (numbers[0][0], Array(change(list(numbers[0][1]))))
        tree.Nums = Array([x for pair in numbers for x in pair])

    return do


def taken(pdf):
    e = elements(pdf, "P")[1]
    e.K = elements(pdf, "P")[0].K


def bookmark(what, value):
    def change(pdf):
        pdf.Root.Outlines.First[what] = value(pdf)

    return change


NO_LANGUAGE = without("/Lang")
SPAN = b"/Span <</%s (x)>> BDC EMC /P <</MCID 2>> BDC"

DAMAGES = [
    ("5-1", metadata(b"<pdfuaid:part>1</pdfuaid:part>", b"")),
    ("5-2", metadata(b"<pdfuaid:part>1<", b"<pdfuaid:part>2<")),
    ("5-3", metadata(b"pdfuaid", b"ua")),
    ("5-4", metadata(b"</rdf:Description>", b'<u:amd xmlns:u="http://www.aiim.org/pdfua/ns/id/">1</u:amd></rdf:Description>')),
    ("5-5", metadata(b"</rdf:Description>", b'<u:corr xmlns:u="http://www.aiim.org/pdfua/ns/id/">1</u:corr></rdf:Description>')),
    ("6.1-1", header),
    ("6.2-1", entry("/MarkInfo", "/Marked", False)),
    ("7.1-1", at(b"/P <</MCID 2>> BDC", b"/P <</MCID 2>> BDC /Artifact BMC EMC")),
    ("7.1-2", at(b"/P <</MCID 2>> BDC", b"/Artifact BMC EMC /Artifact BMC /P <</MCID 2>> BDC")),
    ("7.1-3", at(b"/P <</MCID 2>> BDC", b"/P BMC")),
    ("7.1-3", at(b"/Artifact BMC", b"0 0 m 9 9 l S /Artifact BMC")),
    ("7.1-3", at(b"/Artifact BMC", b"BI /W 1 /H 1 /BPC 8 /CS /G ID \x00 EI /Artifact BMC")),
    ("7.1-3", at(b"/Artifact BMC", b"/P <</MCID 999>> BDC 0 0 9 9 re f EMC /Artifact BMC")),
    ("7.1-4", entry("/MarkInfo", "/Suspects", True)),
    ("7.1-5", kind("P", "Own")),
    ("7.1-6", roles(Own="Other", Other="Own")),
    ("7.1-7", roles(Own="P", P="H1")),
    ("7.1-8", without("/Metadata")),
    ("7.1-9", metadata(b"dc:title", b"dc:subject")),
    ("7.1-10", entry("/ViewerPreferences", "/DisplayDocTitle", False)),
    ("7.1-11", without("/StructTreeRoot")),
    ("7.1-12", lambda pdf: first(pdf, "P").__delitem__("/P")),
    ("7.2-2", NO_LANGUAGE),
    ("7.2-3", put("Table", "P")),
    ("7.2-4", moved("TR", "Sect")),
    ("7.2-5", put("Sect", "THead")),
    ("7.2-6", put("Sect", "TBody")),
    ("7.2-7", put("Sect", "TFoot")),
    ("7.2-8", moved("TH", "Sect")),
    ("7.2-9", moved("TD", "Sect")),
    ("7.2-10", put("TR", "P")),
    ("7.2-11", groups("TBody", "THead", "THead")),
    ("7.2-12", groups("TBody", "TFoot", "TFoot")),
    ("7.2-13", groups("TFoot")),
    ("7.2-14", groups("THead")),
    ("7.2-15", both(lambda pdf: elements(pdf, "TR")[0].K[1].__setitem__("/A", Dictionary({"/O": Name.Table, "/RowSpan": 2})), spanned("/ColSpan", 1, 2))),
    ("7.2-16", put("Table", "Caption", at=1)),
    ("7.2-17", moved("LI", "Sect")),
    ("7.2-18", moved("LBody", "L")),
    ("7.2-19", put("L", "P")),
    ("7.2-20", put("LI", "P")),
    ("7.2-21", NO_LANGUAGE),
    ("7.2-22", NO_LANGUAGE),
    ("7.2-23", both(NO_LANGUAGE, lambda pdf: first(pdf, "P").__setitem__("/E", String("x")))),
    ("7.2-24", both(NO_LANGUAGE, annotated("Text", Contents=String("x")))),
    ("7.2-25", both(NO_LANGUAGE, loose(FT=Name.Tx, TU=String("x")))),
    ("7.2-26", put("Sect", "TOCI")),
    ("7.2-27", lambda pdf: new(pdf, new(pdf, document(pdf), "TOC"), "P")),
    ("7.2-28", lambda pdf: [new(pdf, toc, k) for toc in [new(pdf, document(pdf), "TOC")] for k in ("TOCI", "Caption")]),
    ("7.2-29", lambda pdf: pdf.Root.__setitem__("/Lang", String("English, American"))),
    ("7.2-29", lambda pdf: first(pdf, "P").__setitem__("/Lang", String("en_US"))),
    ("7.2-30", both(NO_LANGUAGE, at(b"/P <</MCID 2>> BDC", SPAN % b"ActualText"))),
    ("7.2-31", both(NO_LANGUAGE, at(b"/P <</MCID 2>> BDC", SPAN % b"Alt"))),
    ("7.2-32", both(NO_LANGUAGE, at(b"/P <</MCID 2>> BDC", SPAN % b"E"))),
    ("7.2-33", NO_LANGUAGE),
    ("7.2-34", NO_LANGUAGE),
    ("7.2-36", both(groups("TBody", "THead"), put("THead", "P"))),
    ("7.2-37", both(groups("TBody"), put("TBody", "P"))),
    ("7.2-38", both(groups("TBody", "TFoot"), put("TFoot", "P"))),
    ("7.2-39", both(put("Table", "Caption", at=0), put("Table", "Caption"))),
    ("7.2-40", put("L", "Caption")),
    ("7.2-41", spanned("/RowSpan", -1, 2)),
    ("7.2-42", lambda pdf: new(pdf, elements(pdf, "TR")[-1], "TD")),
    ("7.2-43", shorter),
    ("7.3-1", lambda pdf: first(pdf, "Figure").__delitem__("/Alt")),
    ("7.3-1", lambda pdf: first(pdf, "Figure").__setitem__("/Alt", String(""))),
    ("7.4.2-1", kind("H2", "H3")),
    ("7.4.2-1", kind("H1", "H2")),
    ("7.4.4-1", both(put("Sect", "H"), put("Sect", "H"))),
    ("7.4.4-2", put("Sect", "H")),
    ("7.4.4-3", put("Sect", "H")),
    ("7.5-1", lambda pdf: [e.__delitem__("/A") for e in elements(pdf, "TH")]),
    ("7.5-2", lambda pdf: first(pdf, "TD").__setitem__("/A", Dictionary(O=Name.Table, Headers=Array([String("none")])))),
    ("7.7-1", put("Sect", "Formula")),
    ("7.9-1", put("Sect", "Note")),
    ("7.9-2", both(put("Sect", "Note", ID=String("n")), put("Sect", "Note", ID=String("n")))),
    ("7.10-1", lambda pdf: pdf.Root.__setitem__("/OCProperties", Dictionary(OCGs=Array(), D=Dictionary()))),
    ("7.10-2", lambda pdf: pdf.Root.__setitem__("/OCProperties", Dictionary(OCGs=Array(), D=Dictionary(Name=String("x"), AS=Array())))),
    ("7.11-1", loose(Type=Name.Filespec, F=String("x"), EF=Dictionary())),
    ("7.15-1", lambda pdf: pdf.Root.__setitem__("/AcroForm", Dictionary(Fields=Array(), XFA=String("x")))),
    ("7.16-1", saved(encryption=pikepdf.Encryption(owner="o", user="", R=6))),
    ("7.18.1-1", annotated("Text", Contents=String("x"))),
    ("7.18.1-2", annotated("Text", "Annot")),
    ("7.18.1-3", annotated("Widget", "Form")),
    ("7.18.2-1", annotated("TrapNet")),
    ("7.18.3-1", no_tabs),
    ("7.18.4-1", annotated("Widget", TU=String("x"))),
    ("7.18.4-2", put("Sect", "Form")),
    ("7.18.5-1", annotated("Link", Contents=String("x"))),
    ("7.18.5-1", annotated("Link", "Span", Contents=String("x"))),
    ("7.18.5-2", annotated("Link", "Link")),
    ("7.18.6.2-1", loose(S=Name.MCD, Alt=Array())),
    ("7.18.6.2-2", loose(S=Name.MCD, CT=String("video/mp4"))),
    ("7.18.8-1", annotated("PrinterMark", "Annot")),
    ("7.20-1", form(Ref=Dictionary())),
    ("7.20-2", form(StructParents=5)),
    ("7.21.3.1-1", font("/Encoding", Name("/UniJIS-UTF16-H"))),
    ("7.21.3.2-1", font("/CIDToGIDMap")),
    ("7.21.3.3-1", font("/Encoding", Name("/Own-H"))),
    ("7.21.3.3-2", font("/Encoding", lambda pdf: Stream(pdf, b"/WMode 1 def"))),
    ("7.21.3.3-3", font("/Encoding", lambda pdf: Stream(pdf, b"/Own-H usecmap"))),
    ("7.21.4.1-1", font("/FontFile2")),
    ("7.21.4.1-2", glyph("e", 60000)),
    ("7.21.4.1-2", glyph("e", " ")),
    ("7.21.4.2-1", simple(Subtype=Name.Type1)),
    ("7.21.4.2-2", lambda pdf: [f.DescendantFonts[0].FontDescriptor.__setitem__("/CIDSet", Stream(pdf, b"\xff")) for f in fonts(pdf)]),
    ("7.21.5-1", font("/W", Array([32, 255, 500]))),
    ("7.21.6-1", simple(Subtype=Name.TrueType)),
    ("7.21.6-2", simple(Subtype=Name.TrueType, Encoding=Name.StandardEncoding)),
    ("7.21.6-3", simple(Subtype=Name.TrueType, Encoding=Name.WinAnsiEncoding)),
    ("7.21.6-4", simple(Subtype=Name.TrueType)),
    ("7.21.7-1", font("/ToUnicode")),
    ("7.21.7-1", unicode(b"1 beginbfrange <0000> <FFFF> <0000> endbfrange")),
    ("7.21.7-1", unicode(b"1 beginbfchar <0020> <0020> endbfchar")),
    ("7.21.7-2", unicode(b"1 beginbfrange <0000> <00FF> <0000> endbfrange")),
    ("7.21.7-2", unicode(b"2 beginbfchar <0020> <0020> <FEFF> <FEFF> endbfchar")),
    ("7.21.8-1", glyph("e", 0)),
    ("32000-1 14.3.3", lambda pdf: pdf.docinfo.__setitem__("/Title", String("Another"))),
    ("32000-1 9.6.4", font("/BaseFont", Name.Own)),
    ("32000-1 9.6.4", font("/FontName", Name("/AAAAAA+Own"))),
    ("32000-1 9.10.3", glyph("e", "a")),
    ("32000-1 9.10.3", unicode(b"1 beginbfrange <0020> <007E> <0021> endbfrange")),
    ("32000-1 12.3.3", bookmark("/Dest", lambda pdf: Array([pdf.Root, Name.Fit]))),
    ("32000-1 12.3.3", bookmark("/Title", lambda pdf: String(""))),
    ("32000-1 12.3.3", bookmark("/Parent", lambda pdf: pdf.Root)),
    ("32000-1 12.3.3 count", bookmark("/Count", lambda pdf: 7)),
    ("32000-1 12.3.3 all", lambda pdf: pdf.Root.Outlines.__setitem__("/Count", 7)),
    ("32000-1 14.7.2", lambda pdf: first(pdf, "P").__setitem__("/P", document(pdf).K[0])),
    ("32000-1 14.7.4.2", taken),
    ("32000-1 14.7.4.2", lambda pdf: first(pdf, "P").__setitem__("/K", 999)),
    ("32000-1 14.7.4.4", own_tree(lambda all: all[:-1])),
    ("32000-1 14.7.4.4", lambda pdf: pdf.pages[0].obj.__delitem__("/StructParents")),
    ("32000-1 14.7.4.4 part", own_tree(lambda all: [all[1], all[0], *all[2:]])),
    ("32000-1 14.8.4.2", lambda pdf: insert(first(pdf, "Sect"), first(pdf, "P").K)),
    ("32000-1 14.8.4.3.3", put("LI", "LBody")),
    ("32000-1 14.8.4.3.3 label", lambda pdf: first(pdf, "LBody").__setitem__("/K", [e for e in elements(pdf, "Lbl") if "/ActualText" not in e][0].K)),
    ("32000-1 14.8.4.3.4", put("Sect", "Table")),
    ("32000-1 14.8.5.4.3", lambda pdf: first(pdf, "Figure").__delitem__("/A")),
    ("32000-1 14.8.5.4.3", lambda pdf: first(pdf, "Table").A.__setitem__("/BBox", Array([10, 10, 9000, 20]))),
    ("32000-1 14.8.4.3.4 header", lambda pdf: first(pdf, "TH").__setitem__("/K", Array())),
]


def all(path, faults):
    """Damages a paper in each way: what the check then names."""
    with open(path, "rb") as f:
        data = f.read()
    found = []
    for rule, change in DAMAGES:
        pdf = pikepdf.open(io.BytesIO(data))
        try:
            made = change(pdf)
        except Exception as e:
            raise RuntimeError(f"the damage against {rule} cannot be done") from e
        if not isinstance(made, bytes):
            out = io.BytesIO()
            pdf.save(out)
            made = out.getvalue()
        found.append({"rule": rule, "named": list(faults(Paper(made)))})
    return found
