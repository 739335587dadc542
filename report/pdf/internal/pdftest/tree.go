package pdftest

import (
	"fmt"
	"strings"
)

// Node is an element of the structure, or of a page's content under its number there.
type Node struct {
	Role               string
	Alt, Actual, Scope string
	Kids               []*Node
	// Box is where an element says that it lies, or where content lies: left, bottom, right
	// and top in points; nil for none.
	Box []float64
	// Text is that of the content; Page and ID are where it stands, Page −1 for an element.
	Text     string
	Page, ID int
}

// All gives the elements of a role, in order.
func (n *Node) All(role string) (all []*Node) {
	if n.Role == role && n.Page < 0 {
		all = append(all, n)
	}
	for _, kid := range n.Kids {
		all = append(all, kid.All(role)...)
	}
	return all
}

// Words is the text of an element and all below it.
func (n *Node) Words() string {
	var b strings.Builder
	b.WriteString(n.Text)
	for _, kid := range n.Kids {
		b.WriteString(kid.Words())
	}
	return strings.TrimSpace(b.String())
}

// Cells gives the texts of a table by row.
func (n *Node) Cells() (rows [][]string) {
	for _, row := range n.All("TR") {
		var cells []string
		for _, cell := range row.Kids {
			cells = append(cells, cell.Words())
		}
		rows = append(rows, cells)
	}
	return rows
}

// content is one marked part of a page.
type content struct {
	tag      string
	artifact bool
	kind     string // of an artifact
	id       int
	text     string
	box      []float64
}

// Pages counts the pages.
func (d *Document) Pages() int { return len(d.pages()) }

func (d *Document) pages() (all []Ref) {
	for _, kid := range list(d.dict(d.dict(d.trailer["Root"])["Pages"])["Kids"]) {
		ref, _ := kid.(Ref)
		all = append(all, ref)
	}
	return all
}

// Painted counts the lines, areas and texts that a page draws, on it or past its edge.
func (d *Document) Painted(page int) (count int) {
	ref, _ := d.dict(d.pages()[page])["Contents"].(Ref)
	s := &scanner{data: d.streams[int(ref)]}
	for s.space(); s.at < len(s.data); s.space() {
		if op, ok := s.value().(Operator); ok && painting[op] {
			count++
		}
	}
	return count
}

// painting are the operators that draw; the others of the papers set something.
var painting = map[Operator]bool{
	"Tj": true,
	"TJ": true,
	"S":  true,
	"s":  true,
	"f":  true,
	"F":  true,
	"f*": true,
	"B":  true,
	"b":  true,
	"B*": true,
	"b*": true,
	"Do": true,
	"sh": true,
}

// contents reads what a page draws, and what is wrong with it.
func (d *Document) contents(page Ref) (all []*content, faults []string) {
	ref, _ := d.dict(page)["Contents"].(Ref)
	s := &scanner{data: d.streams[int(ref)]}
	var stack []any
	var at *content
	saved := []bool{} // whether each q stood in a marked part
	draw := &pen{}
	for {
		s.space()
		if s.at >= len(s.data) {
			break
		}
		v := s.value()
		op, isOperator := v.(Operator)
		if !isOperator {
			stack = append(stack, v)
			continue
		}
		drawn := draw.does(op, stack)
		switch {
		case op == "BDC" || op == "BMC":
			if at != nil {
				faults = append(faults, fmt.Sprintf("page %d: a marked part begins in another one", page))
			}
			at = &content{id: -1}
			for _, v := range stack {
				switch v := v.(type) {
				case Name:
					at.tag = string(v)
				case Dict:
					if id, ok := v["MCID"].(float64); ok {
						at.id = int(id)
					}
					if kind, ok := v["Type"].(Name); ok {
						at.kind = string(kind)
					}
				}
			}
			at.artifact = at.tag == "Artifact"
			all = append(all, at)
		case op == "EMC":
			if at == nil {
				faults = append(faults, fmt.Sprintf("page %d: a marked part ends twice", page))
			}
			at = nil
		case op == "q":
			saved = append(saved, at != nil)
		case op == "Q":
			if len(saved) == 0 {
				faults = append(faults, fmt.Sprintf("page %d: Q without q", page))
				break
			}
			saved = saved[:len(saved)-1]
		case painting[op]:
			text := ""
			if op == "Tj" && len(stack) > 0 {
				text, _ = stack[len(stack)-1].(string)
				if !d.IsNarrow {
					text = wide(text)
				}
			}
			switch {
			case at == nil:
				faults = append(faults, fmt.Sprintf("page %d: %s of %q is outside of the structure", page, op, text))
			case at.artifact && at.kind == "" && (op == "Tj" || op == "TJ"):
				faults = append(faults, fmt.Sprintf("page %d: the text %q is an ornament", page, text))
			}
			if at != nil {
				at.text += text
				at.box = around(at.box, drawn)
			}
		}
		stack = stack[:0]
	}
	if at != nil || len(saved) > 0 {
		faults = append(faults, fmt.Sprintf("page %d: something does not end", page))
	}
	return all, faults
}

// Tree gives the structure with the text of its parts, and all that is wrong with it.
func (d *Document) Tree() (root *Node, faults []string) {
	catalog := d.dict(d.trailer["Root"])
	wrong := func(format string, args ...any) { faults = append(faults, fmt.Sprintf(format, args...)) }
	if d.dict(catalog["MarkInfo"])["Marked"] != true {
		wrong("the document is not marked")
	}
	if d.dict(catalog["ViewerPreferences"])["DisplayDocTitle"] != true {
		wrong("the title is not shown")
	}
	if Text(catalog["Lang"]) != "en-US" {
		wrong("the language is %q", Text(catalog["Lang"]))
	}
	title := Text(d.dict(d.trailer["Info"])["Title"])
	if ref, _ := catalog["Metadata"].(Ref); title == "" || !strings.Contains(string(d.streams[int(ref)]), "<dc:title>") {
		wrong("the document has no title in its metadata")
	}
	treeRoot := d.dict(catalog["StructTreeRoot"])
	if treeRoot["Type"] != Name("StructTreeRoot") {
		wrong("there is no structure")
		return &Node{Page: -1}, faults
	}
	parents := map[int][]any{}
	nums := list(d.dict(treeRoot["ParentTree"])["Nums"])
	for i := 0; i+1 < len(nums); i += 2 {
		key, _ := nums[i].(float64)
		parents[int(key)] = list(nums[i+1])
	}
	pages := d.pages()
	number := map[Ref]int{}
	contents := map[[2]int]*content{}
	for i, page := range pages {
		number[page] = i
		all, bad := d.contents(page)
		faults = append(faults, bad...)
		key, ok := d.dict(page)["StructParents"].(float64)
		if !ok || d.dict(page)["Tabs"] != Name("S") {
			wrong("page %d is in no tree", i+1)
		}
		count := 0
		for _, c := range all {
			if c.artifact {
				continue
			}
			if c.id != count {
				wrong("page %d: content %d follows %d", i+1, c.id, count-1)
			}
			count++
			contents[[2]int{i, c.id}] = c
		}
		if len(parents[int(key)]) != count {
			wrong("page %d: %d contents have %d parents", i+1, count, len(parents[int(key)]))
		}
	}
	last := [2]int{-1, -1}
	level := 0
	var read func(ref Ref, parent Ref) *Node
	read = func(ref, parent Ref) *Node {
		e := d.dict(ref)
		role, _ := e["S"].(Name)
		n := &Node{Role: string(role), Alt: Text(e["Alt"]), Actual: Text(e["ActualText"]), Page: -1}
		scope, _ := d.dict(e["A"])["Scope"].(Name)
		n.Scope = string(scope)
		for _, v := range list(d.dict(e["A"])["BBox"]) {
			edge, _ := v.(float64)
			n.Box = append(n.Box, edge)
		}
		if up, _ := e["P"].(Ref); up != parent {
			wrong("%s %d says that it is in %v, not %v", role, ref, e["P"], parent)
		}
		if len(n.Role) == 2 && n.Role[0] == 'H' {
			if now := int(n.Role[1] - '0'); now > level+1 {
				wrong("a heading of level %d follows one of level %d", now, level)
			} else {
				level = now
			}
		}
		text := func(page Ref, id int) {
			at := [2]int{number[page], id}
			c := contents[at]
			if c == nil {
				wrong("%s %d holds content %v, which is not there or is held twice", role, ref, at)
				return
			}
			delete(contents, at)
			if at[0] < last[0] || at[0] == last[0] && at[1] < last[1] {
				wrong("content %v is read after %v but drawn before", at, last)
			}
			last = at
			if c.tag != n.Role {
				wrong("content %v of a %s is marked as %s", at, role, c.tag)
			}
			key, _ := d.dict(page)["StructParents"].(float64)
			if list := parents[int(key)]; id >= len(list) || list[id] != ref {
				wrong("content %v has another parent than %s %d", at, role, ref)
			}
			n.Kids = append(n.Kids, &Node{Role: n.Role, Text: c.text, Page: at[0], ID: id, Box: c.box})
		}
		page, _ := e["Pg"].(Ref)
		for _, kid := range list(e["K"]) {
			switch kid := kid.(type) {
			case Ref:
				n.Kids = append(n.Kids, read(kid, ref))
			case float64:
				text(page, int(kid))
			case Dict:
				on, _ := kid["Pg"].(Ref)
				id, _ := kid["MCID"].(float64)
				text(on, int(id))
			}
		}
		faults = append(faults, n.faults()...)
		return n
	}
	kid, _ := treeRoot["K"].(Ref)
	rootRef, _ := catalog["StructTreeRoot"].(Ref)
	root = read(kid, rootRef)
	if root.Role != "Document" {
		wrong("the root is a %s", root.Role)
	}
	for at, c := range contents {
		wrong("content %v, %q, is in no element", at, c.text)
	}
	return root, faults
}

// within says which roles an element may hold; an empty list is text alone. Roles that are
// not here may hold text and others.
var within = map[string][]string{
	"Document": {"H1", "P", "L", "Table", "Figure", "Sect", "H2"}, "Sect": {"H2", "H3", "P", "L", "Table", "Figure", "Sect"},
	"L": {"LI"}, "LI": {"Lbl", "LBody"}, "Table": {"TR"}, "TR": {"TH", "TD"},
	"H1": {}, "H2": {}, "H3": {}, "P": {}, "Figure": {}, "Lbl": {}, "TH": {},
}

func (n *Node) faults() (all []string) {
	allowed, isKnown := within[n.Role]
	for _, kid := range n.Kids {
		role := kid.Role
		if kid.Page >= 0 {
			if isKnown && len(allowed) > 0 {
				all = append(all, fmt.Sprintf("a %s holds the text %q itself", n.Role, kid.Text))
			}
			continue
		}
		ok := !isKnown
		for _, a := range allowed {
			ok = ok || a == role
		}
		if !ok {
			all = append(all, fmt.Sprintf("a %s holds a %s", n.Role, role))
		}
	}
	if n.Role == "Figure" || n.Role == "Table" {
		all = append(all, n.boxFaults()...)
	}
	switch n.Role {
	case "Figure":
		if n.Alt == "" {
			all = append(all, "a figure says nothing")
		}
	case "TH":
		if n.Scope != "Column" && n.Scope != "Row" {
			all = append(all, fmt.Sprintf("the header %q is of no column or row", n.Words()))
		}
	case "Table":
		for _, row := range n.Kids {
			if len(row.Kids) != len(n.Kids[0].Kids) {
				all = append(all, fmt.Sprintf("a table has rows of %d and %d cells", len(n.Kids[0].Kids), len(row.Kids)))
			}
		}
	case "H1", "H2", "H3", "P", "LBody":
		if n.Words() == "" {
			all = append(all, "an empty "+n.Role)
		}
	}
	return all
}
