package structure

import "fmt"

// Role says what an element is: one of the standard structure types.
type Role uint8

// content is no role: it marks what is content of a page.
const content Role = 0

// The roles that papers use.
const (
	Document Role = iota + 1
	Section
	Heading1
	Heading2
	Heading3
	Paragraph
	List
	Item
	Label
	Body
	Table
	Row
	HeaderCell
	DataCell
	Figure
)

var roleNames = [...]string{"", "Document", "Sect", "H1", "H2", "H3", "P", "L", "LI", "Lbl", "LBody", "Table", "TR", "TH", "TD", "Figure"}

// String gives the name of the structure type.
func (r Role) String() string { return roleNames[r] }

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

// ref is the index of an element in its tree; the document's is 0.
type ref int32

// none stands for no element. The document is nobody's kid.
const none ref = 0

// element is one part of a paper, or content of a page. A long paper has a hundred thousand:
// they lie in one list and name each other by their places in it.
type element struct {
	parent ref
	// first and last are its kids, next the kid of its parent that follows.
	first, last, next ref
	// says is the place of what it says of itself.
	says int32
	// page and id are those of its own content, which comes before its kids; page is −1 where
	// it has none, or after its kids only: that is a kid without a role.
	page, id int32
	// number is that of its object, from when it is written.
	number int32
	role   Role
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

// place is where on page number page an element lies, where it lies on that alone.
type place struct {
	Box
	page    int
	isSplit bool
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
	all  []element
	// at is the element that is open.
	at ref
	// pages hold, for each page, the elements of its content by number.
	pages [][]ref
	// marked is the element whose content is under way on the page; where isArtifact, that is
	// artifact; isMarked is false between them.
	marked               ref
	artifact             Artifact
	isMarked, isArtifact bool
	// lies says where tables and figures lie.
	lies map[ref]place
	// says are the attributes, each once; placed are their places.
	says   []Attributes
	placed map[Attributes]int32
	// suspended is the kind of artifact that all is until Resume.
	suspended   Artifact
	isSuspended bool
}

// NewTree gives the tree of an empty document; emit writes operators to the page that is
// drawn.
func NewTree(emit func(operators string)) *Tree {
	t := &Tree{emit: emit, placed: map[Attributes]int32{}, lies: map[ref]place{}}
	t.all = []element{{role: Document, says: t.put(Attributes{}), page: -1}}
	return t
}

// put gives the place of attributes.
func (t *Tree) put(a Attributes) int32 {
	at, ok := t.placed[a]
	if !ok {
		at = int32(len(t.says))
		t.says = append(t.says, a)
		t.placed[a] = at
	}
	return at
}

// add puts an element behind the kids of another one.
func (t *Tree) add(parent ref, e element) ref {
	at := ref(len(t.all))
	e.parent = parent
	t.all = append(t.all, e)
	of := &t.all[parent]
	if of.last == none {
		of.first = at
	} else {
		t.all[of.last].next = at
	}
	of.last = at
	return at
}

// NewPage says that a page begins.
func (t *Tree) NewPage() {
	t.Stop()
	t.pages = append(t.pages, nil)
}

// Open begins an element within the one that is open, until Close.
func (t *Tree) Open(role Role, a Attributes) {
	t.at = t.add(t.at, element{role: role, says: t.put(a), page: -1})
}

// Close ends the element that is open. That of the document stays.
func (t *Tree) Close() { t.at = t.all[t.at].parent }

// In does something within an element.
func (t *Tree) In(role Role, a Attributes, do func()) {
	t.Open(role, a)
	e := t.at
	do()
	t.at = t.all[e].parent
}

// Depth counts the open sections.
func (t *Tree) Depth() (depth int) {
	for e := t.at; e != none; e = t.all[e].parent {
		if t.all[e].role == Section {
			depth++
		}
	}
	return depth
}

// OpenSection ends the open sections below a depth, the outermost being 1, and begins one
// of that depth.
func (t *Tree) OpenSection(depth int) {
	for t.at != none && (t.all[t.at].role != Section || t.Depth() >= depth) {
		t.at = t.all[t.at].parent
	}
	t.Open(Section, Attributes{})
}

// Text says that text is drawn next. Where the open element cannot hold text a paragraph
// is put around it.
func (t *Tree) Text() {
	switch {
	case t.isSuspended:
		t.markArtifact(t.suspended)
	case t.all[t.at].role.holdsText():
		t.mark(t.at)
	case t.isMarked && !t.isArtifact && t.all[t.marked].parent == t.at && t.all[t.marked].role == Paragraph: // goes on
	default:
		t.mark(t.add(t.at, element{role: Paragraph, says: t.put(Attributes{}), page: -1}))
	}
}

// Drawing says that a line or an area is drawn next: content of a figure or of a label,
// else an ornament.
func (t *Tree) Drawing() {
	switch {
	case t.isSuspended:
		t.markArtifact(t.suspended)
	case t.figure() != none:
		t.mark(t.figure())
	default:
		t.markArtifact(Ornament)
	}
}

func (t *Tree) figure() ref {
	for e := t.at; e != none; e = t.all[e].parent {
		if t.all[e].role.isDrawn() {
			return e
		}
	}
	return none
}

// Cover says that the open element takes up a box of the page. Tables and figures around it
// say so to readers (ISO 32000-1, 14.8.5.4.3).
func (t *Tree) Cover(box Box) {
	if t.isSuspended || len(t.pages) == 0 {
		return
	}
	for e := t.at; e != none; e = t.all[e].parent {
		if !t.all[e].role.hasBox() {
			continue
		}
		on, page := t.lies[e], len(t.pages)-1
		t.lies[e] = place{on.And(box), page, on.isSplit || on.Box != (Box{}) && on.page != page}
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
	t.isMarked = false
}

func (t *Tree) mark(e ref) {
	if t.isMarked && !t.isArtifact && t.marked == e || len(t.pages) == 0 {
		return
	}
	t.Stop()
	page := len(t.pages) - 1
	id := len(t.pages[page])
	t.pages[page] = append(t.pages[page], e)
	if of := &t.all[e]; of.page < 0 && of.first == none {
		of.page, of.id = int32(page), int32(id)
	} else {
		t.add(e, element{role: content, page: int32(page), id: int32(id)})
	}
	t.emit(fmt.Sprintf("/%s <</MCID %d>> BDC", t.all[e].role, id))
	t.marked, t.isMarked, t.isArtifact = e, true, false
}

func (t *Tree) markArtifact(kind Artifact) {
	if t.isMarked && t.isArtifact && t.artifact == kind {
		return
	}
	t.Stop()
	if kind == Ornament {
		t.emit("/Artifact BMC")
	} else {
		t.emit(fmt.Sprintf("/Artifact <<%s>> BDC", kind))
	}
	t.artifact, t.isMarked, t.isArtifact = kind, true, true
}

// isEmpty reports whether an element holds nothing that is read.
func (t *Tree) isEmpty(of ref) bool {
	e := &t.all[of]
	if e.role.mayBeEmpty() || e.page >= 0 {
		return false
	}
	for kid := e.first; kid != none; kid = t.all[kid].next {
		if !t.isEmpty(kid) {
			return false
		}
	}
	return true
}
