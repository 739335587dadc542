package page

import (
	"fmt"
	"io"

	"emberquilt/report/view"
)

// sheetPage and draftPage are what their templates read.
type sheetPage struct {
	frame
	*view.Sheet
	Maps []Map
}

type draftPage struct {
	frame
	Draft *view.Draft
	Mark  string
}

// WriteSheet writes the this-season sheet as HTML, a printed page a unit. maps
// stand on the first page.
func WriteSheet(w io.Writer, v *view.Sheet, maps []Map) error {
	title := fmt.Sprintf("This season, %s", view.Cut(view.Plain(v.Due.Stamp.Property), 120))
	return write(w, "sheet", sheetPage{newFrame(title, v.Due.Stamp, nil), v, maps})
}

// WriteDraft writes a burn plan draft as HTML, marked as a draft on every
// printed page.
func WriteDraft(w io.Writer, v *view.Draft) error {
	title := fmt.Sprintf("Burn plan draft, %s", view.Cut(view.Plain(v.Unit), 120))
	return write(w, "draft", draftPage{newFrame(title, v.Stamp, nil), v, view.DraftMark})
}
