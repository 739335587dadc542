package structure

import "fmt"

// Role says what an element is: one of the standard structure types.
type Role string

// The roles that papers use.
const (
	Document   Role = "Document"
	Section    Role = "Sect"
	Heading1   Role = "H1"
	Heading2   Role = "H2"
	Heading3   Role = "H3"
	Paragraph  Role = "P"
	List       Role = "L"
	Item       Role = "LI"
	Label      Role = "Lbl"
	Body       Role = "LBody"
	Table      Role = "Table"
	Row        Role = "TR"
	HeaderCell Role = "TH"
	DataCell   Role = "TD"
	Figure     Role = "Figure"
)

// holdsText reports whether text may stand in an element of the role itself.
func (r Role) holdsText() bool {
	switch r {
	case Document, Section, List, Item, Table, Row:
		return false
	}
	return true
}

// hasBox reports whether an element of the role says where on its page it lies.
func (r Role) hasBox() bool { return r == Figure || r == Table }

// isDrawn reports whether lines and areas are content of an element of the role, not
// ornament.
func (r Role) isDrawn() bool { return r == Figure || r == Label }

// mayBeEmpty reports whether an element counts that holds nothing: a cell to write in does.
func (r Role) mayBeEmpty() bool { return r == HeaderCell || r == DataCell }

// Attributes are what an element says of itself beside its content; each may be empty.
type Attributes struct {
	// Alt is read in place of a figure, Actual in place of a drawn sign.
	Alt, Actual string
	// Scope is Column or Row, for a header cell.
	Scope string
}

// Element is one part of a paper.
type Element struct {
	Attributes
	role   Role
	parent *Element
	kids   []kid
	// box is where on page number page it lies, where it lies on that alone.
	box     Box
	page    int
	isSplit bool
	// number is that of its object, from when it is written.
	number int
}

// kid is an element, or content of a page under its number there.
type kid struct {
	element  *Element
	page, id int
}

// Box is a rectangle on a page in points from its left lower corner; one without width is
// none.
type Box struct{ Left, Bottom, Right, Top float64 }

// And gives the least box around two.
func (b Box) And(other Box) Box {
	if b.Left >= b.Right {
		return other
	}
	return Box{min(b.Left, other.Left), min(b.Bottom, other.Bottom), max(b.Right, other.Right), max(b.Top, other.Top)}
}

// Artifact says why something on a page is no content.
type Artifact string

// The kinds of artifact.
const (
	Ornament Artifact = ""
	Repeated Artifact = "/Type /Pagination"
	Header   Artifact = "/Type /Pagination /Subtype /Header"
	Footer   Artifact = "/Type /Pagination /Subtype /Footer"
)

// Tree is the structure of a paper in the making.
type Tree struct {
	emit func(operators string)
	root *Element
	// at is the element that is open.
	at *Element
	// pages hold, for each page, the elements of its content by number.
	pages [][]*Element
	// marked is the element whose content is under way on the page, or artifact the kind
	// of artifact; isMarked is false between them.
	marked   *Element
	artifact Artifact
	isMarked bool
	// suspended is the kind of artifact that all is until Resume.
	suspended   Artifact
	isSuspended bool
}

// NewTree gives the tree of an empty document; emit writes operators to the page that is
// drawn.
func NewTree(emit func(operators string)) *Tree {
	root := &Element{role: Document}
	return &Tree{emit: emit, root: root, at: root}
}

// NewPage says that a page begins.
func (t *Tree) NewPage() {
	t.Stop()
	t.pages = append(t.pages, nil)
}

// Open begins an element within the one that is open, until Close.
func (t *Tree) Open(role Role, a Attributes) {
	e := &Element{Attributes: a, role: role, parent: t.at}
	t.at.kids = append(t.at.kids, kid{element: e})
	t.at = e
}

// Close ends the element that is open. That of the document stays.
func (t *Tree) Close() {
	if t.at.parent != nil {
		t.at = t.at.parent
	}
}

// In does something within an element.
func (t *Tree) In(role Role, a Attributes, do func()) {
	t.Open(role, a)
	e := t.at
	do()
	t.at = e.parent
}

// Depth counts the open sections.
func (t *Tree) Depth() (depth int) {
	for e := t.at; e != nil; e = e.parent {
		if e.role == Section {
			depth++
		}
	}
	return depth
}

// OpenSection ends the open sections below a depth, the outermost being 1, and begins one
// of that depth.
func (t *Tree) OpenSection(depth int) {
	for t.at.parent != nil && (t.at.role != Section || t.Depth() >= depth) {
		t.at = t.at.parent
	}
	t.Open(Section, Attributes{})
}

// Text says that text is drawn next. Where the open element cannot hold text a paragraph
// is put around it.
func (t *Tree) Text() {
	switch {
	case t.isSuspended:
		t.markArtifact(t.suspended)
	case t.at.role.holdsText():
		t.mark(t.at)
	case t.isMarked && t.marked != nil && t.marked.parent == t.at && t.marked.role == Paragraph: // goes on
	default:
		e := &Element{role: Paragraph, parent: t.at}
		t.at.kids = append(t.at.kids, kid{element: e})
		t.mark(e)
	}
}

// Drawing says that a line or an area is drawn next: content of a figure or of a label,
// else an ornament.
func (t *Tree) Drawing() {
	switch {
	case t.isSuspended:
		t.markArtifact(t.suspended)
	case t.figure() != nil:
		t.mark(t.figure())
	default:
		t.markArtifact(Ornament)
	}
}

func (t *Tree) figure() *Element {
	for e := t.at; e != nil; e = e.parent {
		if e.role.isDrawn() {
			return e
		}
	}
	return nil
}

// Cover says that the open element takes up a box of the page. Tables and figures around it
// say so to readers (ISO 32000-1, 14.8.5.4.3).
func (t *Tree) Cover(box Box) {
	if t.isSuspended || len(t.pages) == 0 {
		return
	}
	for e := t.at; e != nil; e = e.parent {
		if !e.role.hasBox() {
			continue
		}
		page := len(t.pages) - 1
		e.isSplit = e.isSplit || e.box != (Box{}) && e.page != page
		e.box, e.page = e.box.And(box), page
	}
}

// Suspend says that all that follows is an artifact of a kind, until Resume.
func (t *Tree) Suspend(kind Artifact) {
	t.Stop()
	t.suspended, t.isSuspended = kind, true
}

// Resume ends what Suspend began.
func (t *Tree) Resume() {
	t.Stop()
	t.isSuspended = false
}

// IsSuspended reports whether all is an artifact now.
func (t *Tree) IsSuspended() bool { return t.isSuspended }

// Stop ends the content that is under way: before the page ends, and before operators that
// must not stand within it.
func (t *Tree) Stop() {
	if t.isMarked {
		t.emit("EMC")
	}
	t.marked, t.isMarked = nil, false
}

func (t *Tree) mark(e *Element) {
	if t.isMarked && t.marked == e || len(t.pages) == 0 {
		return
	}
	t.Stop()
	page := len(t.pages) - 1
	id := len(t.pages[page])
	t.pages[page] = append(t.pages[page], e)
	e.kids = append(e.kids, kid{page: page, id: id})
	t.emit(fmt.Sprintf("/%s <</MCID %d>> BDC", e.role, id))
	t.marked, t.isMarked = e, true
}

func (t *Tree) markArtifact(kind Artifact) {
	if t.isMarked && t.marked == nil && t.artifact == kind {
		return
	}
	t.Stop()
	if kind == Ornament {
		t.emit("/Artifact BMC")
	} else {
		t.emit(fmt.Sprintf("/Artifact <<%s>> BDC", kind))
	}
	t.artifact, t.isMarked = kind, true
}

// isEmpty reports whether an element holds nothing that is read.
func (e *Element) isEmpty() bool {
	if e.role.mayBeEmpty() {
		return false
	}
	for _, k := range e.kids {
		if k.element == nil || !k.element.isEmpty() {
			return false
		}
	}
	return true
}
